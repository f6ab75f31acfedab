/* SPDX-License-Identifier: ISC */
/* What the player plays: the notes that are heard, and the hits of plan and targets. */
#ifndef RL_UI_CONTROLLER_PLAYING_H
#define RL_UI_CONTROLLER_PLAYING_H

#include "ui/controller/controller.h"

typedef struct {
  double landed_at; /**< when a target was last landed on; seconds */
  double was;       /**< where the music last was, in quarters from bar 1 of chorus 1 */
} RlPlaying;

/** Time passes: the sign of a target that was landed on goes; hits go where the music has gone
    back. */
void rl_playing_advance(RlController *controller, double now);

#endif
