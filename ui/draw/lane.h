/* SPDX-License-Identifier: ISC */
/* The lane: the notes of the plan as tab, bar by bar. The playing bar stands still and a light
   walks along it; the next bars wait beside it. */
#ifndef RL_UI_DRAW_LANE_H
#define RL_UI_DRAW_LANE_H

#include "ui/draw/scene.h"

void rl_draw_lane(const RlScene *scene);

/** Writes up to `count` (at most RL_LANE_BARS_MAX) bars, the playing one first, into `bars`, and
   the time now into `now`, in ticks along the form. Returns how many there are. */
enum { RL_LANE_BARS_MAX = 4 };
int rl_lane_in_sight(const RlView *view, int count, RlLaneBar *bars, double *now);

#endif
