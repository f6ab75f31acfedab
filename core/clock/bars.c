/* SPDX-License-Identifier: ISC */
#include "core/clock/bars.h"

#include <math.h>

double
rl_clock_quarters(const RlClock *const c, const double beats)
{
  return beats * 4 / c->unit;
}

double
rl_clock_beats(const RlClock *const c, const double quarters)
{
  return quarters * c->unit / 4;
}

RlBarBeat
rl_clock_carry(const RlClock *const c, const RlBarBeat place)
{
  static const double most = 1e12; /* bars: nonsense, but no overflow */
  if (place.beat >= 0 && place.beat < c->beats_per_bar) {
    return place;
  }
  const double bars = floor(place.beat / c->beats_per_bar);
  const double beat = place.beat - bars * c->beats_per_bar;
  const double bar  = fmax(-most, fmin(most, (double)place.bar + bars));
  const bool   over = beat >= c->beats_per_bar; /* by rounding, just below a bar line */
  return (RlBarBeat){(int64_t)bar + over, over || beat < 0 ? 0 : beat};
}

double
rl_clock_distance(const RlClock *const c, const RlBarBeat from, const RlBarBeat to)
{
  return rl_clock_quarters(c, (double)(to.bar - from.bar) * c->beats_per_bar + to.beat - from.beat);
}

RlBarBeat
rl_clock_move(const RlClock *const c, const RlBarBeat place, const double beats)
{
  return rl_clock_carry(c, (RlBarBeat){place.bar, place.beat + beats});
}
