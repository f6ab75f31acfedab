/* SPDX-License-Identifier: ISC */
/* Private to core/clock. The straight line along which the music moves between reports, and the
   quarters counted along it from the start bar. Real-time safe. */
#ifndef RL_CORE_CLOCK_LINE_H
#define RL_CORE_CLOCK_LINE_H

#include "core/clock/bars.h"

/* RlMoment.sure and quarters_sure: the host told it; estimated from something else. */
static const float rl_clock_told = 1.0F, rl_clock_estimated = 0.5F;

/* Where the line is `ahead` frames from now. */
static inline RlBarBeat
rl_clock_line_place(const RlClock *const c, const int64_t ahead)
{
  const double frames = rl_clock_larger((double)(c->now + ahead - c->at) - c->hold, 0);
  return rl_clock_move(c, c->from, c->rolling ? c->per_frame * frames : 0);
}

/* Begins a new line at `place`, where `count` quarters are counted. It stands still for `hold`
   frames, then moves by RlClock.per_frame. */
void rl_clock_line_set(RlClock *c, RlBarBeat place, double count, double hold);

/* Quarters since the start bar at a place on the line. */
static inline double
rl_clock_line_count(const RlClock *const c, const RlBarBeat place)
{
  return c->quarters_at_bar + rl_clock_distance(c, (RlBarBeat){c->from.bar, 0}, place);
}

/* The same as if the present meter had held since the start bar. */
double rl_clock_count_by_bars(const RlClock *c, RlBarBeat place);

/* Does the line touch the start bar between its beginning and `bar`? Then the count is known: it
   is 0 there. */
static inline bool
rl_clock_line_passes_start(const RlClock *const c, const int64_t bar)
{
  return (c->from.bar <= c->start_bar && c->start_bar <= bar) ||
         (bar <= c->start_bar && c->start_bar <= c->from.bar);
}

/* What is counted at the start bar, and should be 0; 0 where the line does not pass it. */
double rl_clock_line_miscount(const RlClock *c, int64_t bar);

/* Takes the miscount out, if the line passes the start bar before `bar`. */
static inline void
rl_clock_line_recount(RlClock *const c, const int64_t bar)
{
  if (rl_clock_line_passes_start(c, bar)) {
    c->quarters_at_bar -= rl_clock_line_count(c, (RlBarBeat){c->start_bar, 0});
    c->quarters_sure = c->sure;
  }
}

#endif
