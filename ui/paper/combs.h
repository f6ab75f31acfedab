/* SPDX-License-Identifier: ISC */
/* What to play over each chord: a comb for every different one, and how to read them. */
#ifndef RL_UI_PAPER_COMBS_H
#define RL_UI_PAPER_COMBS_H

#include "ui/paper/flow.h"

void rl_combs_add(RlFlow *flow);

#endif
