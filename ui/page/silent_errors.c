/* SPDX-License-Identifier: ISC */
/* Replaces error.c, left.c and tempo.c of core/abc, plan_error.c of core/arrange and error.c of
   core/chart on phones, where no error, no tempo and nothing of what was left out is shown: since
   nothing uses the texts, the
   linker leaves them out. */
#include "core/abc/reader.h"
#include "core/arrange/plan_reader.h"
#include "core/chart/reader.h"

bool
rl_chart_reader_fail_with(RlChartReader *const r, const char *const before, const RlSlice quoted,
                          const char *const after)
{
  (void)before;
  (void)quoted;
  (void)after;
  *r->error = (RlChartError){.line = r->line, .bar = r->bar};
  return false;
}

bool
rl_chart_reader_fail(RlChartReader *const r, const char *const reason)
{
  return rl_chart_reader_fail_with(r, reason, (RlSlice){NULL, 0}, "");
}

bool
rl_chart_reader_fail_shares(RlChartReader *const r)
{
  return rl_chart_reader_fail(r, "");
}

bool
rl_plan_reader_fail_with(const RlPlanReader *const r, const char *const before,
                         const RlSlice quoted, const char *const after)
{
  (void)before;
  (void)quoted;
  (void)after;
  *r->error = (RlPlanError){.line = r->line};
  return false;
}

bool
rl_plan_reader_fail(const RlPlanReader *const r, const char *const reason)
{
  return rl_plan_reader_fail_with(r, reason, (RlSlice){NULL, 0}, "");
}

bool
rl_abc_fail_with(RlAbcReader *const r, const RlAbcMark mark, const char *const before,
                 const RlSlice quoted, const char *const after)
{
  (void)before;
  (void)quoted;
  (void)after;
  (void)r;
  (void)mark;
  return false;
}

bool
rl_abc_fail(RlAbcReader *const r, const RlAbcMark mark, const char *const reason)
{
  return rl_abc_fail_with(r, mark, reason, (RlSlice){NULL, 0}, "");
}

void
rl_abc_left(RlAbcReader *const r, const RlAbcLeft kind, const char *const at)
{
  (void)r;
  (void)kind;
  (void)at;
}

void
rl_abc_left_decoration(RlAbcReader *const r, const RlSlice name)
{
  (void)r;
  (void)name;
}

void
rl_abc_left_bar(RlAbcReader *const r, const RlAbcMark mark)
{
  (void)r;
  (void)mark;
}

bool
rl_abc_tempo_field(RlAbcReader *const r, const RlSlice value)
{
  (void)r;
  (void)value;
  return true;
}

bool
rl_abc_tempo_finish(RlAbcReader *const r)
{
  (void)r;
  return true;
}
