/* SPDX-License-Identifier: ISC */
/* The chords of one bar, with its number and, where it changes, its meter. Lengths are points; bars
   are numbered as in song.h. */
#ifndef RL_UI_PAPER_CHORDS_H
#define RL_UI_PAPER_CHORDS_H

#include "ui/paint/paint.h"
#include "ui/paper/sheet.h"

enum {
  RL_CHORDS_HEIGHT        = 17,
  RL_CHORDS_DEGREE_HEIGHT = 9 /**< below that, where a bar has several chords */
};

/** Bar n of the form; NULL where it has none: before bar 1, without a lead-in from the form. */
const RlBar *rl_chords_bar(const RlSheet *sheet, int n);

/** About how wide a bar must be for its chords to be read. */
double rl_chords_width(const RlSheet *sheet, int n);

/** Draws them side by side, each with its degree: by their beats, or by their needs where that is
   too narrow for one of them. */
void rl_chords_draw(const RlPaint *paint, const RlSheet *sheet, int n, RlRect box);

#endif
