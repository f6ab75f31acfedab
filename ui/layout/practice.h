/* SPDX-License-Identifier: ISC */
/* The screen for practice: a panel for each measure, and the settings that belong there. */
#ifndef RL_UI_LAYOUT_PRACTICE_H
#define RL_UI_LAYOUT_PRACTICE_H

#include "ui/layout/layout.h"

void rl_practice_place(RlLayout *layout);

/** Where panel `n` of it stands. */
RlRect rl_practice_panel(const RlLayout *layout, int n);

#endif
