/* SPDX-License-Identifier: ISC */
/* The player's clock: taps of a foot in, felt beats out. Two to eight taps set the tempo by their
   median interval; four felt beats from the first tap count in, and the next one is bar 1, beat 1.
   Later taps adjust tempo and phase, never backwards. CLOCK.md is the reference. All functions are
   real-time safe; one thread. */
#ifndef RL_CORE_CLOCK_TAPS_H
#define RL_CORE_CLOCK_TAPS_H

#include <stdbool.h>
#include <stdint.h>

enum { RL_TAPS_MAX = 8, RL_COUNT_IN = 4 /**< felt beats */ };

/** Where the player's clock is. */
typedef struct {
  bool    known; /**< false before the first start */
  bool    rolling;
  double  felt;      /**< felt beats since bar 1, beat 1; negative while counting in */
  double  per_frame; /**< felt beats a frame now; 0 while stopped */
  int64_t straight;  /**< frames, at least 1, for which per_frame holds; INT64_MAX: without end */
  double  tempo;     /**< felt beats a minute; 0 if none was ever set */
  float   sure;      /**< confidence, below 1: an estimate that grows with every tap */
} RlPulse;

/** The state. Private; here so that it can live inside another struct. */
typedef struct {
  double  rate;
  int64_t now;
  int     count; /* taps in this run, in `tap`, the oldest first */
  int64_t tap[RL_TAPS_MAX];
  bool    counts_in; /* this run began the count-in, and its first tap is still stored */
  double  interval;  /* frames in a felt beat; 0: none yet */
  bool    known, rolling;
  float   sure;
  /* the line: `from` at frame `at`, `slope` until frame `bend`, there `target`, then 1 / interval
   */
  int64_t at;
  double  from, slope, bend, target;
} RlTaps;

/** Begins with nothing known. `rate`: frames a second, > 0. */
void rl_taps_init(RlTaps *taps, double rate);

/** Time passes: `frames` >= 0. */
void rl_taps_advance(RlTaps *taps, int64_t frames);

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
