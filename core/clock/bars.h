/* SPDX-License-Identifier: ISC */
/* Private to core/clock. Arithmetic of places in bars, all in the clock's present meter. Pure;
   real-time safe. */
#ifndef RL_CORE_CLOCK_BARS_H
#define RL_CORE_CLOCK_BARS_H

#include "core/clock/clock.h"

/* Beats of the meter's unit as quarters, and quarters as beats. */
double rl_clock_quarters(const RlClock *c, double beats);
double rl_clock_beats(const RlClock *c, double quarters);

/* The same place with its beat inside the bar: 0 up to (not incl.) beats_per_bar. */
RlBarBeat rl_clock_carry(const RlClock *c, RlBarBeat place);

/* `place` moved by so many beats, carried. */
RlBarBeat rl_clock_move(const RlClock *c, RlBarBeat place, double beats);

/* Quarters from one place to another; negative backwards. */
double rl_clock_distance(const RlClock *c, RlBarBeat from, RlBarBeat to);

#endif
