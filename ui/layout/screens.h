/* SPDX-License-Identifier: ISC */
/* The screens besides the music: harps, a text. Included by ui/layout only. */
#ifndef RL_UI_LAYOUT_SCREENS_H
#define RL_UI_LAYOUT_SCREENS_H

#include "ui/layout/layout.h"

/** "Which harp?": keys and how the player plays on the left, the ranking beside them. */
void rl_screens_place_harps(RlLayout *layout, const RlView *view);

/** The chart or plan as text. */
void rl_screens_place_text(RlLayout *layout);

#endif
