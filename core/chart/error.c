/* SPDX-License-Identifier: ISC */
#include "core/chart/reader.h"

bool
rl_chart_reader_fail_with(RlChartReader *const r, const char *const before, const RlSlice quoted,
                          const char *const after)
{
  RlText text    = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line = r->line;
  r->error->bar  = r->bar;
  rl_text_add(&text, before);
  rl_text_add_quote(&text, quoted);
  rl_text_add(&text, after);
  return false;
}

bool
rl_chart_reader_fail(RlChartReader *const r, const char *const reason)
{
  return rl_chart_reader_fail_with(r, reason, rl_slice(""), "");
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
