/* SPDX-License-Identifier: ISC */
/* What a player aims at: one note of the harp, its cents, and the zone of a blue note. README.md
   has the numbers. Pure; real-time safe, any thread. */
#ifndef RL_CORE_TRAINER_AIM_H
#define RL_CORE_TRAINER_AIM_H

#include "core/harmony/harp.h"

/** How the reeds of the harp are tuned against each other. */
typedef enum { RL_TEMPERED, RL_JUST, RL_TEMPERS } RlTemper;

/** One note. Cents are above the equal-tempered pitch of `midi`, A = 440 Hz. */
typedef struct {
  uint8_t hole, technique, midi; /**< hole from 1 */
  float   cents;                 /**< the middle of what is aimed at */
  float   room;                  /**< to each side that is as good; 0, or half a blue note's zone */
  uint8_t plain;                 /**< what the hole sounds with that breath, not bent: MIDI */
} RlAim;

/** Is it the blue third or the blue fifth of the key? Then the zone in which players hold it, in
    cents above the equal-tempered pitch of `midi`. */
bool rl_blue_zone(int midi, RlKey key, float *low, float *high);

/** The aim at a note of the harp; its midi is 0 where the harp has no such note. `hole` from 1. */
RlAim rl_aim_at(RlHarpChoice harp, int hole, RlTechnique technique, RlTemper temper, RlKey key);

/** Does what is heard come from the aimed hole, with the right breath? Then how far off it is, in
    cents: `cents` are above the pitch of `midi`. Another hole's note of the same pitch as the aimed
    one, or as the hole's plain one, will do: 2 draw and 3 blow are one to the ear. */
bool rl_aim_hears(const RlAim *aim, int hole, RlTechnique technique, int midi, float cents,
                  float *off);

#endif
