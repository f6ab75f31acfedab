/* SPDX-License-Identifier: ISC */
/* Practice: the line after a chorus, and the picture over choruses and days. */
#ifndef RL_UI_DRAW_PRACTICE_H
#define RL_UI_DRAW_PRACTICE_H

#include "ui/draw/scene.h"

enum { RL_PRACTICE_WORDS_SIZE = 384 };

/** What is said of the last chorus, all of it or in one line, and whether more is shown since. */
void rl_practice_words(const RlView *view, bool all, char words[RL_PRACTICE_WORDS_SIZE]);

/** The line after a chorus, among the music. */
void rl_draw_chorus(const RlScene *scene);

/** The screen. */
void rl_draw_practice(const RlScene *scene);

#endif
