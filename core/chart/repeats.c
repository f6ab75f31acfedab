/* SPDX-License-Identifier: ISC */
#include "core/chart/reader.h"

RlStrain
rl_strain_in(RlBar *const bar)
{
  return (RlStrain){bar, 0, 0, 0, -1, 0, false, false};
}

bool
rl_chart_reader_repeat_open(RlChartReader *const r)
{
  RlStrain *const s = r->strain;
  if (s->repeat_line) {
    return rl_chart_reader_fail(
      r, "|: inside a repeat; close the first with :| before opening another");
  }
  if (s->first_ending >= 0) {
    return rl_chart_reader_fail(r, "|: inside a first ending; close it with :| first");
  }
  s->repeat_from      = s->count;
  s->repeat_line      = r->line;
  s->in_second_ending = s->had_first_ending = false;
  return true;
}

static bool
copy_bars(RlChartReader *const r, const int from, const int to)
{
  for (int i = from; i < to; ++i) {
    if (!rl_chart_reader_bar_append(r, r->strain->bar[i])) {
      return false;
    }
  }
  return true;
}

bool
rl_chart_reader_repeat_close(RlChartReader *const r, const int times)
{
  RlStrain *const s    = r->strain;
  const int       end  = s->count;
  const int       body = s->first_ending >= 0 ? s->first_ending : end;
  if (s->in_second_ending) {
    return rl_chart_reader_fail(r, ":| inside a second ending; end that with || first");
  }
  if (end == s->repeat_from) {
    return rl_chart_reader_fail(r, ":| has nothing to repeat; write the bars before it");
  }
  for (int pass = 2; pass <= times; ++pass) {
    if (!copy_bars(r, s->repeat_from, pass < times ? end : body)) {
      return false;
    }
  }
  s->had_first_ending = s->first_ending >= 0;
  s->first_ending     = -1;
  s->repeat_from      = s->count;
  s->repeat_line      = 0;
  return true;
}

bool
rl_chart_reader_ending_open(RlChartReader *const r, const int number)
{
  RlStrain *const s = r->strain;
  if (number == 1) {
    if (s->first_ending >= 0 || s->in_second_ending) {
      return rl_chart_reader_fail(r, "|1 inside an ending; close that with :| or || first");
    }
    if (s->count == s->repeat_from) {
      return rl_chart_reader_fail(
        r, "|1 comes after the bars that are repeated; write them before it");
    }
    s->first_ending = s->count;
    s->ending_line  = r->line;
    return true;
  }
  if (number != 2) {
    return rl_chart_reader_fail(r, "no such ending; the first is |1, the second |2");
  }
  if (s->first_ending >= 0 && !rl_chart_reader_repeat_close(r, 2)) {
    return false;
  }
  if (!s->had_first_ending || s->count != s->repeat_from) {
    return rl_chart_reader_fail(r, "a second ending needs a first: |1 … :|2 …");
  }
  s->in_second_ending = true;
  s->had_first_ending = false;
  return true;
}

bool
rl_chart_reader_strain_done(RlChartReader *const r, const RlStrain *const s)
{
  if (s->repeat_line) {
    r->line = s->repeat_line;
    r->bar  = 0;
    return rl_chart_reader_fail(r, "the repeat that |: opens here never closes; end it with :|");
  }
  if (s->first_ending >= 0) {
    r->line = s->ending_line;
    r->bar  = 0;
    return rl_chart_reader_fail(r, "the first ending never closes; end it with :|");
  }
  return true;
}
