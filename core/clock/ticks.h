/* SPDX-License-Identifier: ISC */
/* Private to core/clock. What a host means by bar_beat: beats of the meter, or a whole beat and
   ticks of a quarter. Ardour 7 sends int(beat) + ticks / 1920 with 1920 ticks in a quarter whatever
   the meter's unit, so that the fraction counts quarters. In a meter of halves it rounds the
   quarter to a beat: quarters 2i - 1 and 2i of a bar both read i. Measured; see tests/hosts.
   Real-time safe. */
#ifndef RL_CORE_CLOCK_TICKS_H
#define RL_CORE_CLOCK_TICKS_H

#include "core/clock/bars.h"
#include "core/clock/report.h"

enum {
  RL_QUARTER_TICKS      = 1920, /* ticks in a quarter */
  RL_QUARTER_TICKS_SURE = 4,    /* RlClock.quarter_ticks stays within plus and minus this */
  RL_TICKS_SURE         = 8     /* readings in whole ticks that make a host one that counts them */
};

/* Quarters in a tick: the rounding of a place told in ticks. */
static inline double
rl_clock_tick(const RlClock *const c)
{
  return rl_clock_larger(rl_clock_quarters(c, 1), 1) / RL_QUARTER_TICKS;
}

/* The place meant by one whose fraction counts quarters. In meters of halves and wholes several
   quarters are possible: the one nearest to `expected`. */
RlBarBeat rl_clock_decode(const RlClock *c, RlBarBeat said, RlBarBeat expected);

/* Does the host leave open which quarter is meant? */
static inline bool
rl_clock_quarter_open(const RlClock *const c)
{
  return c->quarter_ticks > 0 && c->unit < 4;
}

/* Did rl_clock_decode() have to guess a quarter? Yes where the frame is not the one expected and
   `expected` agrees with no quarter, until a quarter ends. */
bool rl_clock_quarter_unclear(const RlClock *c, RlBarBeat said, RlBarBeat decoded,
                              RlBarBeat expected, const RlClockStep *step);

/* Learns which of the two readings holds: the one that keeps an even pace, since the other leaps
   at every beat. Meters of eighths and shorter tell; one of halves leaves too much open. */
void rl_clock_decode_learn(RlClock *c, RlBarBeat said, RlBarBeat decoded, const RlClockStep *step);

/* Learns whether the host counts whole ticks. Then a place it tells may be up to a tick behind the
   music. */
void rl_clock_ticks_learn(RlClock *c, double bar_beat);

#endif
