/* SPDX-License-Identifier: ISC */
/* What the player hits of the lane and of the targets, while the music plays. Real-time safe. */
#ifndef RL_PLUGIN_RT_HARP_HITS_H
#define RL_PLUGIN_RT_HARP_HITS_H

#include "core/ear/player/reed_ear.h"
#include "core/practice/hits.h"
#include "plugin/rt/follower.h"
#include "plugin/shared/hits_told.h"

/** The state; zeroed at the beginning. */
typedef struct {
  RlHits     hits;
  float      low; /* dB: the level lately, as it rises slowly */
  RlHitsTold told;
  unsigned   atoms; /* of `told`, on `notify` */
} RlHarpHits;

/** So much is heard now. True if there are new hits. */
bool rl_harp_hits_find(RlHarpHits *hits, const RlFollower *follower, const RlPlayed *played);

#endif
