/* SPDX-License-Identifier: ISC */
/* Private to core/clock. The straight line along which the music moves between reports, and the
   quarters counted along it from the start bar. Real-time safe. */
#ifndef RL_CORE_CLOCK_LINE_H
#define RL_CORE_CLOCK_LINE_H

#include "core/clock/clock.h"

/* RlMoment.sure and quarters_sure: the host told it; estimated from something else. */
static const float rl_clock_told = 1.0F, rl_clock_estimated = 0.5F;

/* Where the line is `ahead` frames from now. */
RlBarBeat rl_clock_line_place(const RlClock *c, int64_t ahead);

/* Begins a new line at `place`, where `count` quarters are counted. It stands still for `hold`
   frames, then moves by RlClock.per_frame. */
void rl_clock_line_set(RlClock *c, RlBarBeat place, double count, double hold);

/* Quarters since the start bar at a place on the line. */
double rl_clock_line_count(const RlClock *c, RlBarBeat place);

/* The same as if the present meter had held since the start bar. */
double rl_clock_count_by_bars(const RlClock *c, RlBarBeat place);

/* Does the line touch the start bar between its beginning and `bar`? Then the count is known: it
   is 0 there. */
bool rl_clock_line_passes_start(const RlClock *c, int64_t bar);

/* What is counted at the start bar, and should be 0; 0 where the line does not pass it. */
double rl_clock_line_miscount(const RlClock *c, int64_t bar);

/* Takes the miscount out, if the line passes the start bar before `bar`. */
void rl_clock_line_recount(RlClock *c, int64_t bar);

#endif
