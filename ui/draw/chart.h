/* SPDX-License-Identifier: ISC */
/* The chart: its title and bars in rows, the playing bar lit, the next chord's bar framed. */
#ifndef RL_UI_DRAW_CHART_H
#define RL_UI_DRAW_CHART_H

#include "ui/draw/scene.h"

void rl_draw_chart(const RlScene *scene);

/** Which chord of the bar that plays sounds, from 0, where it has several; -1 else. */
int rl_draw_sounding_chord(const RlView *view);

#endif
