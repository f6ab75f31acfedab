/* SPDX-License-Identifier: ISC */
/* The screen of charts. */
#ifndef RL_UI_DRAW_CHARTS_H
#define RL_UI_DRAW_CHARTS_H

#include "ui/draw/scene.h"

void rl_draw_charts(const RlScene *scene);

/** Draws the box of what is asked there, where something is. */
void rl_draw_charts_asking(const RlScene *scene);

#endif
