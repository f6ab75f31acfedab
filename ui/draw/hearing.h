/* SPDX-License-Identifier: ISC */
/* How following by ear goes, in words, and what to do. */
#ifndef RL_UI_DRAW_HEARING_H
#define RL_UI_DRAW_HEARING_H

#include "ui/draw/scene.h"

enum { RL_HEARING_WORDS_SIZE = 256 };

/** Two short lines for the place of the chord, where no place is known. */
void rl_hearing_corner(const RlView *view, const char **first, const char **second);

/** A sentence or three: found and how sure, listening, or lost; the key as heard; the tuning. */
void rl_hearing_words(const RlView *view, char words[RL_HEARING_WORDS_SIZE]);

/** The recording's tuning, and by how much to shift it; nothing where a harp fits it. */
void rl_hearing_tuning(const RlView *view, RlText *text);

/** Draws those sentences, where there is a box for them. */
void rl_draw_hearing(const RlScene *scene);

#endif
