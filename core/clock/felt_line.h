/* SPDX-License-Identifier: ISC */
/* The line along which felt beats pass where no host counts bars: taps and hearing only say where
   it should be, and it is steered there. Real-time safe; one thread. */
#ifndef RL_CORE_CLOCK_FELT_LINE_H
#define RL_CORE_CLOCK_FELT_LINE_H

#include <stdbool.h>
#include <stdint.h>

/** Where it is at a frame. */
typedef struct {
  bool    known; /**< false before the first start, or where nobody knows */
  bool    rolling;
  double  felt;      /**< felt beats since bar 1, beat 1; negative while counting in */
  double  per_frame; /**< felt beats a frame now; 0 while stopped */
  int64_t straight;  /**< frames, at least 1, for which per_frame holds; INT64_MAX: without end */
  double  tempo;     /**< felt beats a minute; 0 if none was ever set */
  float   sure;      /**< confidence, an estimate */
} RlPulse;

/** The line: `from` at frame `at`, `slope` until frame `bend`, there `target`, then 1 / interval.
    Zeroed at the beginning but for `rate`. */
typedef struct {
  double  rate;     /* frames a second */
  double  interval; /* frames in a felt beat; 0: none yet */
  bool    known, rolling;
  float   sure;
  int64_t at;
  double  from, slope, bend, target;
} RlFeltLine;

RlPulse rl_felt_line_pulse(const RlFeltLine *line, int64_t frame);

/** Begins anew at `felt`, rolling. */
void rl_felt_line_begin(RlFeltLine *line, int64_t frame, double felt, double interval);

/** Steers to `felt` now and `interval` frames a beat: at once if it is more than half a beat ahead,
   else within the next beat. Never backwards: further than half a beat behind, the line stands
   still until the music has caught up. */
void rl_felt_line_steer(RlFeltLine *line, int64_t frame, double felt, double interval);

/** Stands still where it is. */
void rl_felt_line_stop(RlFeltLine *line, int64_t frame);

#endif
