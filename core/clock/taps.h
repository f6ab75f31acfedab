/* SPDX-License-Identifier: ISC */
/* The player's clock: taps of a foot in, felt beats out. Two to eight taps set the tempo by their
   median interval; four felt beats from the first tap count in, and the next one is bar 1, beat 1.
   Later taps adjust tempo and phase, never backwards. CLOCK.md is the reference. All functions are
   real-time safe; one thread. */
#ifndef RL_CORE_CLOCK_TAPS_H
#define RL_CORE_CLOCK_TAPS_H

#include "core/clock/felt_line.h"

#include <assert.h>

enum { RL_TAPS_MAX = 8, RL_COUNT_IN = 4 /**< felt beats */ };

/** The state. Private; here so that it can live inside another struct. */
typedef struct {
  RlFeltLine line;
  int64_t    now;
  int        count; /* taps in this run, in `tap`, the oldest first */
  int64_t    tap[RL_TAPS_MAX];
  bool       counts_in; /* this run began the count-in, and its first tap is still stored */
} RlTaps;

/** Begins with nothing known. `rate`: frames a second, > 0. */
void rl_taps_init(RlTaps *taps, double rate);

/** Time passes: `frames` >= 0. Inline, as every block asks for it. */
static inline void
rl_taps_advance(RlTaps *const taps, const int64_t frames)
{
  assert(frames >= 0);
  taps->now += frames;
}

/** A tap, now. Within 150 ms of the last one it is a bounce and ignored. */
void rl_taps_tap(RlTaps *taps);

/** Bar 1, beat 1 is now: at the tempo of the last taps, else `tempo` felt beats a minute, else 120.
 */
void rl_taps_start(RlTaps *taps, double tempo);

/** The music stops; the next two taps count in again. */
void rl_taps_stop(RlTaps *taps);

/** Where the music is `ahead` frames (>= 0) from now. */
RlPulse rl_taps_pulse(const RlTaps *taps, int64_t ahead);

#endif
