/* SPDX-License-Identifier: ISC */
/* The bend trainer: what can be aimed at, the gauge with needle and trace, the last tries. */
#ifndef RL_UI_DRAW_TRAINER_H
#define RL_UI_DRAW_TRAINER_H

#include "ui/draw/scene.h"

enum { RL_TRAINER_LINES = 3, RL_TRAINER_LINE_SIZE = 128 };

/** The try that goes on, else the last one; NULL: there is none. */
const RlTry *rl_trainer_try(const RlView *view);

/** Does a problem stand in the place of the words? Once something is tried the words do: a problem
    that lasts would hide what they say of it. */
bool rl_trainer_tells_problem(const RlView *view);

/** Whole cents that the needle shows. */
int rl_trainer_needle(const RlView *view);

/** What is said of it, or how to begin. */
void rl_trainer_words(const RlView *view, char lines[RL_TRAINER_LINES][RL_TRAINER_LINE_SIZE]);

void rl_draw_trainer(const RlScene *scene);

#endif
