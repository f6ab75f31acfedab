/* SPDX-License-Identifier: ISC */
/* Private to core/clock. Hosts that tell whole beats: once a beat they report the bar (from 0), as
   bar_beat the beats up to its line if every bar had been like this one, and as beat what is left
   of the song's beats, from 1. In a song of one meter that is the beat of the bar; after a change
   of meter it counts on from another number, or falls below 0 and comes modulo 2^32, rounded to a
   float. Measured in qtractor 0.9.31 (README.md). Real-time safe. */
#ifndef RL_CORE_CLOCK_WHOLE_H
#define RL_CORE_CLOCK_WHOLE_H

#include "core/clock/report.h"

/* Does a report say all that those of such a host do? The next three are for these alone. */
static inline bool
rl_clock_whole_said(const RlReport *const r)
{
  static const unsigned all = RL_SAID_BAR | RL_SAID_BAR_BEAT | RL_SAID_BEAT;
  return (r->said & all) == all;
}

/* Learns from a report as it came whether the host is one of these. It shows by a bar_beat of a bar
   or more that is just so, or where bar_beat stands still at a bar line while beat goes on. */
void rl_clock_whole_learn(RlClock *c, const RlReport *r);

/* Before the fields are judged: what these hosts mean by bar_beat and beat comes later. */
void rl_clock_whole_begin(const RlClock *c, RlReport *r);

/* Turns the report, `sent` as it came, into a plain one that tells the head of a stretch of
   RlClock.whole.span beats: the music is inside that. */
void rl_clock_whole_read(RlClock *c, const RlReport *sent, const RlClockStep *step, RlReport *r);

/* The place: as `expected`, if that is inside the stretch told; else its nearer end. A stretch that
   has just begun did so less than a block ago. */
RlBarBeat rl_clock_whole_place(RlClock *c, RlBarBeat heard, RlBarBeat expected,
                               const RlClockStep *step);

/* Quarters from the stretch told before to this one, as far as that measures the pace. */
double rl_clock_whole_travel(RlClock *c, RlBarBeat heard);

/* How late a beat may be reported: a long block, in beats of the tempo told. */
static inline double
rl_clock_whole_late(const RlClock *const c)
{
  static const double block = 0.05; /* seconds */
  return c->tempo / 60 * block;
}

#endif
