/* SPDX-License-Identifier: ISC */
/* The time of day of each frame: the moment at which a frame of a block sounds, steadily. A host
   calls run() now a little early, now a little late; frames themselves come evenly. The audio
   thread's; real-time safe. */
#ifndef RL_PLUGIN_SHARED_FRAME_CLOCK_H
#define RL_PLUGIN_SHARED_FRAME_CLOCK_H

#include <stdbool.h>
#include <stdint.h>

/** The state; all zero but `rate` at the beginning. */
typedef struct {
  double   rate;   /**< frames a second */
  bool     known;  /**< false: begins anew with the next block */
  int64_t  start;  /**< nanoseconds since 1970 (UTC) at the first frame of this block */
  uint32_t frames; /**< in this block */
} RlFrameClock;

/** What the system's clock says: nanoseconds since 1970 (UTC). Any thread. */
int64_t rl_frame_clock_now(void);

/** A block of `frames` begins; `now` is what the system's clock says, in nanoseconds since 1970.
   The line through the frames follows it with a time constant of one second, which evens out the
    jitter of run() and keeps up with sound cards that run fast or slow; where the two are a tenth
   of a second and two blocks apart, the line begins anew. */
void rl_frame_clock_block(RlFrameClock *frame_clock, uint32_t frames, int64_t now);

/** When `frame` of this block is. */
int64_t rl_frame_clock_at(const RlFrameClock *frame_clock, int64_t frame);

#endif
