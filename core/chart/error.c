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

bool
rl_chart_reader_fail_shares(RlChartReader *const r)
{
  const RlDraft *const d = &r->draft;
  char                 buffer[RL_REASON_SIZE];
  RlText               text = rl_text_in(buffer, sizeof(buffer));
  const bool           many = d->shares > r->beats;
  rl_text_add_int(&text, d->shares);
  rl_text_add(&text, d->shares > d->chords ? " chords and holds" : " chords");
  rl_text_add(&text, many ? " are more than " : " do not share ");
  rl_text_add_int(&text, r->beats);
  rl_text_add(&text, many ? " beats; put a bar line between them"
                          : " beats equally; hold a chord longer with / until the number divides ");
  if (!many) {
    rl_text_add_int(&text, r->beats);
  }
  return rl_chart_reader_fail(r, buffer);
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
