/* SPDX-License-Identifier: ISC */
/* The screen of phrases. Included by ui/layout only. */
#ifndef RL_UI_LAYOUT_PHRASES_H
#define RL_UI_LAYOUT_PHRASES_H

#include "ui/layout/layout.h"

/** The list of phrases on the left (above, in a tall window), the selected one beside it. */
void rl_phrases_place(RlLayout *layout, const RlView *view);

#endif
