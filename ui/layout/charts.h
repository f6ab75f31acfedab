/* SPDX-License-Identifier: ISC */
/* The screen of charts: the folders, their charts, the selected one, and what is asked. Included by
   ui/layout only. */
#ifndef RL_UI_LAYOUT_CHARTS_H
#define RL_UI_LAYOUT_CHARTS_H

#include "ui/layout/layout.h"

void rl_charts_place(RlLayout *layout, const RlView *view);

#endif
