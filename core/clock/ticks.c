/* SPDX-License-Identifier: ISC */
#include "core/clock/ticks.h"

#include <math.h>

RlBarBeat
rl_clock_decode(const RlClock *const c, const RlBarBeat said, const RlBarBeat expected)
{
  const int    open = c->unit < 4 ? 4 / c->unit : 1; /* from -open / 2 quarters on */
  const double beat = floor(said.beat);
  const double part = rl_clock_beats(c, said.beat - beat);
  if (open == 1) {
    return rl_clock_carry(c, (RlBarBeat){said.bar, beat + part});
  }
  RlBarBeat best = said;
  double    off  = HUGE_VAL;
  for (int k = -open / 2; k < (open + 1) / 2; ++k) {
    const RlBarBeat other =
      rl_clock_carry(c, (RlBarBeat){said.bar, beat + rl_clock_beats(c, k) + part});
    const double miss = fabs(rl_clock_distance(c, expected, other));
    best              = miss < off ? other : best;
    off               = rl_clock_smaller(miss, off);
  }
  return best;
}

bool
rl_clock_quarter_unclear(const RlClock *const c, const RlBarBeat said, const RlBarBeat decoded,
                         const RlBarBeat expected, const RlClockStep *const step)
{
  const RlBarBeat last = c->literal.place;
  const bool      same = said.beat - floor(said.beat) >= last.beat - floor(last.beat);
  const bool      goes = c->known && step->jump == 0;
  return rl_clock_quarter_open(c) &&
         (goes ? c->unclear && same : fabs(rl_clock_distance(c, expected, decoded)) > 0.2);
}

/* Follows one reading: does this step leap off the pace of the steps before? Both places are told
   to a tick. */
static bool
reading_follow(const RlClock *const c, RlReading *const reading, const RlBarBeat place,
               const double frames)
{
  static const double leap  = 0.1; /* quarters; at a beat of x/16 it is 3/16, else more */
  const double        way   = rl_clock_distance(c, reading->place, place);
  const double        off   = fabs(way - reading->slope * frames);
  const bool          first = c->readings < 2;
  const bool          leaps =
    !first && off > leap && off > leap + rl_clock_tick(c) * (1 + frames / reading->frames);
  *reading = leaps ? (RlReading){place, reading->slope, reading->frames}
                   : (RlReading){place, way / frames, frames};
  return leaps;
}

void
rl_clock_decode_learn(RlClock *const c, const RlBarBeat said, const RlBarBeat decoded,
                      const RlClockStep *const step)
{
  const bool runs = step->steady && step->exact && !c->restart && c->unit > 4;
  if (c->readings == 0 || !runs) {
    c->literal.place = said;
    c->decoded.place = decoded;
    c->readings      = c->unit > 4;
    return;
  }
  const bool literal_leaps = reading_follow(c, &c->literal, said, step->frames);
  const bool decoded_leaps = reading_follow(c, &c->decoded, decoded, step->frames);
  const int  was           = c->quarter_ticks;
  c->readings = literal_leaps && decoded_leaps ? 0 : 2; /* both: the pace has changed */
  if (literal_leaps != decoded_leaps) {
    c->quarter_ticks =
      literal_leaps ? was + (was < RL_QUARTER_TICKS_SURE) : was - (was > -RL_QUARTER_TICKS_SURE);
    c->note = (was > 0) == (c->quarter_ticks > 0) ? c->note : 0;
  }
}

void
rl_clock_ticks_learn(RlClock *const c, const double bar_beat)
{
  const double ticks = bar_beat * RL_QUARTER_TICKS;
  const bool   whole = fabs(ticks - round(ticks)) < 0.01;
  c->ticks           = !whole ? 0 : c->ticks < RL_TICKS_SURE ? c->ticks + 1 : c->ticks;
}
