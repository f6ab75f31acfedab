/* What an audience (the window, the OSC receivers) was told last of where the music is, and whether
   there is anything new to tell it. The audio thread's; real-time safe. */
#ifndef RL_AUDIENCE_H
#define RL_AUDIENCE_H

#include "leader.h"

#include <math.h>

typedef struct {
  RlNow    now;     /**< as it was told */
  int64_t  at;      /**< frames since the beginning, when that was true */
  unsigned looks;   /**< of the leader's, when last told or found not worth telling */
  unsigned changes; /**< of the band's, when last told */
} RlAudience;

/** Is the music elsewhere than it would be had it run on since? Between whole beats the beat runs
    on by itself; it is news if it is off by more than a part of a beat. */
static inline bool
rl_audience_news(const RlAudience *const audience, const RlLeader *const leader)
{
  static const double leap = 0.02;
  const RlNow *const  now  = &leader->now;
  const RlNow *const  told = &audience->now;
  const double        due =
    told->place.beat + told->beats_per_frame * (double)(leader->clock.now - audience->at);
  return fabs(rl_leader_beat(leader) - due) > leap || now->place.part != told->place.part ||
         now->rolling != told->rolling || now->place.chorus != told->place.chorus ||
         now->place.bar != told->place.bar || floor(now->place.beat) != floor(told->place.beat) ||
         now->turn.now != told->turn.now || now->turn.next != told->turn.next ||
         now->sure != told->sure || fabs(now->tempo - told->tempo) > 0.005 * told->tempo;
}

/** It has been told what is true now, or, where that is not `worth` telling, looked at. */
static inline void
rl_audience_told(RlAudience *const audience, const RlLeader *const leader, const unsigned changes,
                 const bool worth)
{
  if (worth) {
    audience->now     = leader->now;
    audience->at      = leader->clock.now - leader->since;
    audience->changes = changes;
  }
  audience->looks = leader->looks;
}

#endif
