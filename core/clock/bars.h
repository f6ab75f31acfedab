/* SPDX-License-Identifier: ISC */
/* Private to core/clock. Arithmetic of places in bars, all in the clock's present meter. Pure;
   real-time safe. Inline: every report asks a dozen times. */
#ifndef RL_CORE_CLOCK_BARS_H
#define RL_CORE_CLOCK_BARS_H

#include "core/clock/clock.h"

#include <math.h>

/* The larger and the smaller of two, `b` if `a` is not a number: one instruction each, where fmax()
   and fmin() are calls. */
static inline double
rl_clock_larger(const double a, const double b)
{
  return a > b ? a : b;
}

static inline double
rl_clock_smaller(const double a, const double b)
{
  return a < b ? a : b;
}

/* Beats of the meter's unit as quarters, and quarters as beats. */
static inline double
rl_clock_quarters(const RlClock *const c, const double beats)
{
  return beats * 4 / c->unit;
}

static inline double
rl_clock_beats(const RlClock *const c, const double quarters)
{
  return quarters * c->unit / 4;
}

/* The same place with its beat inside the bar: 0 up to (not incl.) beats_per_bar. */
static inline RlBarBeat
rl_clock_carry(const RlClock *const c, const RlBarBeat place)
{
  static const double most = 1e12; /* bars: nonsense, but no overflow */
  if (place.beat >= 0 && place.beat < c->beats_per_bar) {
    return place;
  }
  const double bars = floor(place.beat / c->beats_per_bar);
  const double beat = place.beat - bars * c->beats_per_bar;
  const double bar  = rl_clock_larger(rl_clock_smaller((double)place.bar + bars, most), -most);
  const bool   over = beat >= c->beats_per_bar; /* by rounding, just below a bar line */
  return (RlBarBeat){(int64_t)bar + over, over || beat < 0 ? 0 : beat};
}

/* `place` moved by so many beats, carried. */
static inline RlBarBeat
rl_clock_move(const RlClock *const c, const RlBarBeat place, const double beats)
{
  return rl_clock_carry(c, (RlBarBeat){place.bar, place.beat + beats});
}

/* Quarters from one place to another; negative backwards. */
static inline double
rl_clock_distance(const RlClock *const c, const RlBarBeat from, const RlBarBeat to)
{
  return rl_clock_quarters(c, (double)(to.bar - from.bar) * c->beats_per_bar + to.beat - from.beat);
}

#endif
