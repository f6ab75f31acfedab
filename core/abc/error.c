/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

bool
rl_abc_fail_with(RlAbcReader *const r, const RlAbcMark mark, const char *const before,
                 const RlSlice quoted, const char *const after)
{
  RlText text      = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line   = mark.line;
  r->error->column = mark.column;
  rl_text_add(&text, before);
  rl_text_add_quote(&text, quoted);
  rl_text_add(&text, after);
  return false;
}

bool
rl_abc_fail(RlAbcReader *const r, const RlAbcMark mark, const char *const reason)
{
  return rl_abc_fail_with(r, mark, reason, rl_slice(""), "");
}

void
rl_abc_error_write(const RlAbcError *const error, RlText *const text)
{
  rl_text_add(text, "line ");
  rl_text_add_int(text, error->line);
  rl_text_add(text, ", column ");
  rl_text_add_int(text, error->column);
  rl_text_add(text, ": ");
  rl_text_add(text, error->reason);
}
