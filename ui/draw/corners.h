/* SPDX-License-Identifier: ISC */
/* The two corners that a harp's diagram leaves free: the chord that sounds now in the upper left
   one, with the beats of its bar; the next chord in the lower right one, with the beats until it.
 */
#ifndef RL_UI_DRAW_CORNERS_H
#define RL_UI_DRAW_CORNERS_H

#include "ui/draw/scene.h"

void rl_draw_corners(const RlScene *scene);

/** Why the upper corner shows no chord, and what to do, in two lines; NULL where it shows one. */
void rl_lost_words(const RlView *view, const char **first, const char **second);

/** Writes the whole felt beats until the next chord, `1` during the last one, and `beat` or
    `beats`. */
void rl_countdown(const RlView *view, RlText *number, RlText *words);

/** The wire: a segment for each felt beat of the bar, up to twelve; 0 where there is no place. */
int rl_wire_segments(const RlView *view);

/** How bright segment `i` is, 0 to 1; `sounds` gets whether its beat sounds now. */
double rl_wire_level(const RlView *view, int i, bool *sounds);

/** Where it stands, in units of the layout. */
RlRect rl_wire_at(const RlView *view, const RlLayout *layout, int i);

#endif
