/* SPDX-License-Identifier: ISC */
/* A player for the pictures: what would be heard of somebody who bends notes. */
#ifndef RL_PLUGIN_DEMO_PLAYING_H
#define RL_PLUGIN_DEMO_PLAYING_H

#include "ui/controller/controller.h"

/** Tries on draw 3 bent half a step on a C harp, each a little better; the last one goes on. */
void rl_playing_tries(RlController *controller, double now);

/** Bar 4 of chorus 2: three notes of what is planned there were played, then the blue third. */
void rl_playing_phrase(RlController *controller, double now);

/** Bar 5 of chorus 2: landed on its target, draw 3 bent half a step. */
void rl_playing_landing(RlController *controller, double now);

/** Nothing sounds any more. */
void rl_playing_silence(RlController *controller, double now);

#endif
