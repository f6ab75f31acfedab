/* SPDX-License-Identifier: ISC */
/* The shapes of notes and rests: heads, stems, beams, flags, dots, ties, brackets. One line of
   rhythm without a staff. */
#ifndef RL_UI_PAPER_NOTES_H
#define RL_UI_PAPER_NOTES_H

#include "ui/paint/paint.h"
#include "ui/paper/bar_layout.h"

/** Draws the symbols of a placed bar, from `top` down to the tab. `cell` is the one it was placed
    in. */
void rl_notes_draw(const RlPaint *paint, const RlBarLayout *layout, double top, RlRect cell);

#endif
