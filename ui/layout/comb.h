/* SPDX-License-Identifier: ISC */
/* The comb with its two corners, and the lane. Included by ui/layout only. */
#ifndef RL_UI_LAYOUT_COMB_H
#define RL_UI_LAYOUT_COMB_H

#include "ui/layout/layout.h"

/** Puts the comb to the upper left of its shape, and under it the lane where there is one; below
    that the height that the shape keeps free stays. */
void rl_comb_place(RlLayout *layout, const RlView *view);

/** How much of the window's height the lane takes, the gap above it included; 0: there is none. */
double rl_lane_height(const RlLayout *layout, const RlView *view);

#endif
