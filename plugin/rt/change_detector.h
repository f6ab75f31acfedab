/* SPDX-License-Identifier: ISC */
/* What those who watch (the window, the OSC receivers) were told last of where the music is, and
   whether there is anything new to tell them. The audio thread's; real-time safe. */
#ifndef RL_PLUGIN_RT_CHANGE_DETECTOR_H
#define RL_PLUGIN_RT_CHANGE_DETECTOR_H

#include "plugin/rt/follower.h"

#include <math.h>

typedef struct {
  RlNow    now;     /**< as it was told */
  int64_t  at;      /**< frames since the beginning, when that was true */
  unsigned looks;   /**< of the follower's, when last told or found not worth telling */
  unsigned changes; /**< of the processor's, when last told */
} RlChangeDetector;

/** Is the music elsewhere than it would be had it run on since? Between whole beats the beat runs
    on by itself; it is worth telling if it is off by more than a part of a beat. */
static inline bool
rl_change_detector_sees(const RlChangeDetector *const detector, const RlFollower *const follower)
{
  static const double leap = 0.02;
  const RlNow *const  now  = &follower->now;
  const RlNow *const  told = &detector->now;
  const double        due =
    told->place.beat + told->beats_per_frame * (double)(follower->clock.now - detector->at);
  return fabs(rl_follower_beat(follower) - due) > leap || now->place.part != told->place.part ||
         now->rolling != told->rolling || now->place.chorus != told->place.chorus ||
         now->place.bar != told->place.bar || floor(now->place.beat) != floor(told->place.beat) ||
         now->chords.now != told->chords.now || now->chords.next != told->chords.next ||
         now->sure != told->sure || fabs(now->tempo - told->tempo) > 0.005 * told->tempo;
}

/** It has been told what is true now, or, where that is not `worth` telling, looked at. */
static inline void
rl_change_detector_told(RlChangeDetector *const detector, const RlFollower *const follower,
                        const unsigned changes, const bool worth)
{
  if (worth) {
    detector->now     = follower->now;
    detector->at      = follower->clock.now - follower->since;
    detector->changes = changes;
  }
  detector->looks = follower->looks;
}

#endif
