/* SPDX-License-Identifier: ISC */
/* The clock that follows a recording by ear: reports about frames that lie some time back in, felt
   beats at any frame out. A report carries the frame it is about, so a late one is not a late beat.
   All functions are real-time safe; one thread. */
#ifndef RL_CORE_CLOCK_HEARD_H
#define RL_CORE_CLOCK_HEARD_H

#include "core/clock/felt_line.h"

/** What was heard at a frame. */
typedef struct {
  bool    known;   /**< false: nobody is sure where the music is, and the rest means nothing */
  bool    rolling; /**< false: it has paused there */
  int64_t frame;   /**< since the beginning */
  double  felt;    /**< beats since bar 1, beat 1 of chorus 1 */
  double  tempo;   /**< felt beats a minute, > 0 */
  float   sure;    /**< 0..1 */
} RlHeardReport;

/** The state. Private; here so that it can live inside another struct. */
typedef struct {
  RlFeltLine line;
  int64_t    now;
  int64_t    told;  /* frame at which the last report came */
  int64_t    since; /* what was heard before that frame counts no longer */
} RlHeard;

/** Begins with nothing known. `rate`: frames a second, > 0. */
void rl_heard_init(RlHeard *heard, double rate);

/** Begins anew at a frame: nothing is known, nothing heard before counts. */
void rl_heard_begin(RlHeard *heard, int64_t frame);

/** Time passes: `frames` >= 0. Eight seconds without a report, and nothing is known. */
void rl_heard_advance(RlHeard *heard, int64_t frames);

/** A report comes. Less than half a beat from the line it is steered to within a beat, never
    backwards; else the place jumps. False if it is out of date, or changes nothing. */
bool rl_heard_report(RlHeard *heard, const RlHeardReport *report);

/** The song goes on elsewhere, from now: what was heard before counts no longer. `place` is known
    from an earlier pass (its frame is now); NULL: nobody knows. */
void rl_heard_move(RlHeard *heard, const RlHeardReport *place);

/** Where the music is `ahead` frames (>= 0) from now. */
RlPulse rl_heard_pulse(const RlHeard *heard, int64_t ahead);

#endif
