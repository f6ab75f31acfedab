/* SPDX-License-Identifier: ISC */
/* One bar's strip: rhythm over tab over degrees over the count. */
#ifndef RL_UI_PAPER_BAR_H
#define RL_UI_PAPER_BAR_H

#include "ui/paint/paint.h"
#include "ui/paper/bar_layout.h"

/** Heights in a strip, in points from its top. */
enum { RL_BAR_STRIP_HEIGHT = 76, RL_BAR_TAB_TOP = 31, RL_BAR_TAB_LINE = 43, RL_BAR_TAB_FOOT = 55 };

/** Places the bar in a cell RL_BAR_STRIP_HEIGHT high and draws it. */
void rl_bar_draw(const RlPaint *paint, RlBarLayout *layout, RlRect cell);

#endif
