/* SPDX-License-Identifier: ISC */
#include "core/clock/line.h"

#include <math.h>

void
rl_clock_line_set(RlClock *const c, const RlBarBeat place, const double count, const double hold)
{
  c->from            = rl_clock_carry(c, place);
  c->at              = c->now;
  c->hold            = hold;
  c->quarters_at_bar = count - rl_clock_distance(c, (RlBarBeat){c->from.bar, 0}, place);
}

double
rl_clock_line_miscount(const RlClock *const c, const int64_t bar)
{
  return rl_clock_line_passes_start(c, bar) ? rl_clock_line_count(c, (RlBarBeat){c->start_bar, 0})
                                            : 0;
}

double
rl_clock_count_by_bars(const RlClock *const c, const RlBarBeat place)
{
  return rl_clock_distance(c, (RlBarBeat){c->start_bar, 0}, place);
}
