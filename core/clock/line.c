/* SPDX-License-Identifier: ISC */
#include "core/clock/line.h"

#include "core/clock/bars.h"

#include <math.h>

RlBarBeat
rl_clock_line_place(const RlClock *const c, const int64_t ahead)
{
  const double frames = fmax(0, (double)(c->now + ahead - c->at) - c->hold);
  return rl_clock_move(c, c->from, c->rolling ? c->per_frame * frames : 0);
}

double
rl_clock_line_count(const RlClock *const c, const RlBarBeat place)
{
  return c->quarters_at_bar + rl_clock_distance(c, (RlBarBeat){c->from.bar, 0}, place);
}

void
rl_clock_line_set(RlClock *const c, const RlBarBeat place, const double count, const double hold)
{
  c->from            = rl_clock_carry(c, place);
  c->at              = c->now;
  c->hold            = hold;
  c->quarters_at_bar = count - rl_clock_distance(c, (RlBarBeat){c->from.bar, 0}, place);
}

bool
rl_clock_line_passes_start(const RlClock *const c, const int64_t bar)
{
  return (c->from.bar <= c->start_bar && c->start_bar <= bar) ||
         (bar <= c->start_bar && c->start_bar <= c->from.bar);
}

double
rl_clock_line_miscount(const RlClock *const c, const int64_t bar)
{
  return rl_clock_line_passes_start(c, bar) ? rl_clock_line_count(c, (RlBarBeat){c->start_bar, 0})
                                            : 0;
}

void
rl_clock_line_recount(RlClock *const c, const int64_t bar)
{
  c->quarters_at_bar -= rl_clock_line_miscount(c, bar);
  c->quarters_sure = rl_clock_line_passes_start(c, bar) ? c->sure : c->quarters_sure;
}

double
rl_clock_count_by_bars(const RlClock *const c, const RlBarBeat place)
{
  return rl_clock_distance(c, (RlBarBeat){c->start_bar, 0}, place);
}
