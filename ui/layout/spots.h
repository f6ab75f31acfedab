/* SPDX-License-Identifier: ISC */
/* Making spots while a window is laid out. Included by ui/layout only. */
#ifndef RL_UI_LAYOUT_SPOTS_H
#define RL_UI_LAYOUT_SPOTS_H

#include "ui/layout/layout.h"

/** Adds a spot, on top of those before; the last of RL_SPOTS_MAX is followed by none. */
void rl_spots_add(RlLayout *layout, RlActionKind kind, int value, RlRect at);

/** Adds `count` buttons side by side that fill an area, `gap` between them. */
void rl_spots_add_buttons(RlLayout *layout, RlRect area, const RlActionKind *kinds, int count,
                          double gap);

/** The first entry in sight of a list of `count` that is scrolled, `shown` at a time. */
int rl_spots_first_shown(const RlView *view, int count, int shown);

#endif
