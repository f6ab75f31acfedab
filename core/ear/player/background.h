/* SPDX-License-Identifier: ISC */
/* What sounds behind the player: how loud each line is while nothing is played, or something that
   does not explain it. */
#ifndef RL_CORE_EAR_PLAYER_BACKGROUND_H
#define RL_CORE_EAR_PLAYER_BACKGROUND_H

#include "core/ear/player/lines.h"

typedef struct {
  float line[RL_REED_LINES]; /**< dB */
  float level;               /**< dB of all the sound while nothing is played */
} RlBackground;

void rl_background_init(RlBackground *background);

/** A block is full. `state`: what was believed to sound before it; reeds->states is "nothing". */
void rl_background_block(RlBackground *background, const RlReeds *reeds, const RlLines *lines,
                         int state);

#endif
