/* SPDX-License-Identifier: ISC */
/* How the tab is read, and what became of each phrase on this harp. */
#ifndef RL_UI_PAPER_LEGEND_H
#define RL_UI_PAPER_LEGEND_H

#include "ui/paper/flow.h"

/** How the tab and the word `answer` are read; nothing where neither stands. */
void rl_legend_key_add(RlFlow *flow);

/** What became of each phrase; nothing without phrases. */
void rl_legend_add(RlFlow *flow);

#endif
