#include "chart_read.h"

bool
rl_reader_fail_with(RlReader *const r, const char *const before, const RlSlice quoted,
                    const char *const after)
{
  enum { QUOTE_MAX = 40 };
  RlText text    = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line = r->line;
  r->error->bar  = r->bar;
  rl_text_add(&text, before);
  if (quoted.at) {
    RlText quote = {text.to + text.used, text.room - text.used, 0};
    quote.room   = quote.room < QUOTE_MAX ? quote.room : QUOTE_MAX;
    rl_text_add_slice(&quote, quoted);
    text.used += quote.used;
  }
  rl_text_add(&text, after);
  return false;
}

bool
rl_reader_fail(RlReader *const r, const char *const reason)
{
  return rl_reader_fail_with(r, reason, (RlSlice){NULL, 0}, "");
}

void
rl_chart_error_write(const RlChartError *const error, RlText *const text)
{
  rl_text_add(text, "line ");
  rl_text_add_int(text, error->line);
  if (error->bar) {
    rl_text_add(text, ", bar ");
    rl_text_add_int(text, error->bar);
  }
  rl_text_add(text, ": ");
  rl_text_add(text, error->reason);
}
