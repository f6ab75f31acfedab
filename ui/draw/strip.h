/* SPDX-License-Identifier: ISC */
/* The strip under the selected take: the sound that it was lifted from, half steps over time, with
   its notes over it. */
#ifndef RL_UI_DRAW_STRIP_H
#define RL_UI_DRAW_STRIP_H

#include "ui/draw/scene.h"

void rl_draw_strip(const RlScene *scene);

#endif
