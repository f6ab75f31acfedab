/* SPDX-License-Identifier: ISC */
/* The screen "which harp?": the harps a player owns, and their ranking for this song. */
#ifndef RL_UI_DRAW_HARPS_H
#define RL_UI_DRAW_HARPS_H

#include "ui/draw/scene.h"

void rl_draw_harps(const RlScene *scene);

#endif
