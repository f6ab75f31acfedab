/* SPDX-License-Identifier: ISC */
/* The bend trainer: what can be aimed at, the gauge, the last tries. Included by ui/layout only. */
#ifndef RL_UI_LAYOUT_TRAINER_H
#define RL_UI_LAYOUT_TRAINER_H

#include "ui/layout/layout.h"

void rl_trainer_place(RlLayout *layout, const RlView *view);

#endif
