/* SPDX-License-Identifier: ISC */
/* The bars of the lane, and of the selected phrase: which are in sight, and where in them a moment
   stands. Pure. */
#ifndef RL_UI_LAYOUT_LANE_H
#define RL_UI_LAYOUT_LANE_H

#include "ui/layout/layout.h"

enum { RL_LANE_BARS_MAX = 4 };

/** Writes up to `count` (at most RL_LANE_BARS_MAX) bars, the playing one first, into `bars`, and
   the time now into `now`, in ticks along the form. Returns how many there are. */
int rl_lane_in_sight(const RlView *view, int count, RlLaneBar *bars, double *now);

/** A view in which the selected phrase is the plan and the music stands at it: before its bar, or
    on the note that is being corrected. */
RlView rl_lane_preview(const RlView *view);

/** Ticks along the form at which an onset of the selected phrase begins, in such a view. */
double rl_lane_onset(const RlView *view, int onset);

/** The part of a lane that is bar `index`, and where in it a moment stands. */
RlRect rl_lane_bar_at(const RlLayout *layout, RlRect lane, int index);
double rl_lane_x(RlRect bar_at, const RlLaneBar *bar, double ticks);

#endif
