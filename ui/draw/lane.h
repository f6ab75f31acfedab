/* SPDX-License-Identifier: ISC */
/* The lane: the notes of the plan as tab, bar by bar. The playing bar stands still and a light
   walks along it; the next bars wait beside it. */
#ifndef RL_UI_DRAW_LANE_H
#define RL_UI_DRAW_LANE_H

#include "ui/draw/scene.h"
#include "ui/layout/lane.h"

void rl_draw_lane(const RlScene *scene);

#endif
