/* SPDX-License-Identifier: ISC */
/* The comb: teeth, rail, words of the rows, and a lamp for every note of the harp. */
#ifndef RL_UI_DRAW_COMB_H
#define RL_UI_DRAW_COMB_H

#include "ui/draw/scene.h"

void rl_draw_comb(const RlScene *scene);

#endif
