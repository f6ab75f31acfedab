/* SPDX-License-Identifier: ISC */
#include "core/arrange/plan_reader.h"

bool
rl_plan_reader_fail_with(const RlPlanReader *const r, const char *const before,
                         const RlSlice quoted, const char *const after)
{
  RlText text      = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line   = r->line;
  r->error->column = 0;
  rl_text_add(&text, before);
  rl_text_add_quote(&text, quoted);
  rl_text_add(&text, after);
  return false;
}

bool
rl_plan_reader_fail(const RlPlanReader *const r, const char *const reason)
{
  return rl_plan_reader_fail_with(r, reason, rl_slice(""), "");
}

void
rl_plan_error_write(const RlPlanError *const error, RlText *const text)
{
  rl_text_add(text, "line ");
  rl_text_add_int(text, error->line);
  if (error->column) {
    rl_text_add(text, ", column ");
    rl_text_add_int(text, error->column);
  }
  rl_text_add(text, ": ");
  rl_text_add(text, error->reason);
}
