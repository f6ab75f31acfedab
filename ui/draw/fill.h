/* SPDX-License-Identifier: ISC */
/* How full the frames of the next chord are. The same for lamps, chart and the chord's name, so
   that they fill together. */
#ifndef RL_UI_DRAW_FILL_H
#define RL_UI_DRAW_FILL_H

#include "ui/model/view.h"

/** In steps that can be told apart: 0 (empty) to RL_FILL_STEPS (the chord comes now). With reduced
    motion there are only four. */
enum { RL_FILL_STEPS = 32 };
int rl_fill_steps(const RlView *view);

#endif
