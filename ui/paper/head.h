/* SPDX-License-Identifier: ISC */
/* The head of the sheet: which song this is, for which harp and player, how it feels. */
#ifndef RL_UI_PAPER_HEAD_H
#define RL_UI_PAPER_HEAD_H

#include "ui/paper/flow.h"

void rl_head_add(RlFlow *flow);

#endif
