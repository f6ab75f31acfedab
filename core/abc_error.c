#include "abc_read.h"

bool
rl_abc_fail_with(RlAbcReader *const r, const RlAbcMark mark, const char *const before,
                 const RlSlice quoted, const char *const after)
{
  enum { QUOTE_MAX = 40 };
  RlText text      = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line   = mark.line;
  r->error->column = mark.column;
  rl_text_add(&text, before);
  RlText quote = {text.to + text.used, text.room - text.used, 0};
  quote.room   = quote.room < QUOTE_MAX ? quote.room : QUOTE_MAX;
  rl_text_add_slice(&quote, quoted);
  text.used += quote.used;
  rl_text_add(&text, after);
  return false;
}

bool
rl_abc_fail(RlAbcReader *const r, const RlAbcMark mark, const char *const reason)
{
  return rl_abc_fail_with(r, mark, reason, (RlSlice){"", 0}, "");
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
