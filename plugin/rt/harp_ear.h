/* SPDX-License-Identifier: ISC */
/* The player heard in the audio thread, with an ear that the worker has lent. Real-time safe. */
#ifndef RL_PLUGIN_RT_HARP_EAR_H
#define RL_PLUGIN_RT_HARP_EAR_H

#include "plugin/protocol/ports.h"
#include "plugin/rt/follower.h"
#include "plugin/shared/harp_ear_desk.h"

/** The state; zeroed at the beginning. */
typedef struct {
  bool busy; /**< call rl_harp_ear_begin() and the rest; else leave it alone */
  bool tell; /**< `heard` has not been told on `notify` yet */

  RlHeardNow     heard; /**< as it is told */
  RlPlayed       now;   /* the same at the newest moment */
  RlHarpEarDesk *desk;
  RlHarpEarLoan *loan; /* NULL: the worker has not made it yet */
  RlHarpFrom     from;
  uint32_t       wanted; /* as on the desk */
  int64_t        fed;    /* frames of this block that it has heard */
  bool           fresh;  /* what it heard up to there is new */
  int64_t        began;  /* the plugin's frame at which the ear began to count */
} RlHarpEar;

/** Sets up a zeroed one; `rate` in frames a second. */
void rl_harp_ear_init(RlHarpEar *ear, RlHarpEarDesk *desk, double rate);

/** The ports say whether and what to hear, and which harp; `now` in frames.
   True if the worker has something to do.
 */
bool rl_harp_ear_tune(RlHarpEar *ear, RlHarpFrom from, const RlHand *hand, int64_t now);

/** A block begins, `now` in frames since the plugin's first: takes the ear that is wanted, gives
   back what is not. True if the worker has something to do. */
bool rl_harp_ear_begin(RlHarpEar *ear, int64_t now);

/** Hears up to `frames` frames of sound, to the first moment that is new; `left` may be NULL, then
   it is silent, `right` too, then there is one side only. Returns how many it took. */
int64_t rl_harp_ear_hear(RlHarpEar *ear, const float *left, const float *right, int64_t frames);

/** What is fresh is heeded, now. True if it is worth telling. */
bool rl_harp_ear_heed(RlHarpEar *ear, const RlFollower *follower);

/** What is heard, told or not; of the harp that is wanted. */
const RlPlayed *rl_harp_ear_now(const RlHarpEar *ear);

/** Of the notes that sound the strongest; NULL if none does. */
const RlPlayedNote *rl_harp_ear_strongest(const RlHarpEar *ear);

#endif
