/* SPDX-License-Identifier: ISC */
/* How the tab is read, and what became of each phrase on this harp. Nothing without phrases. */
#ifndef RL_UI_PAPER_LEGEND_H
#define RL_UI_PAPER_LEGEND_H

#include "ui/paper/flow.h"

void rl_legend_add(RlFlow *flow);

#endif
