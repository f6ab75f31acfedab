/* SPDX-License-Identifier: ISC */
/* The screen of phrases: takes and library, and the selected phrase on its bar. */
#ifndef RL_UI_DRAW_PHRASES_H
#define RL_UI_DRAW_PHRASES_H

#include "ui/draw/scene.h"

void rl_draw_phrases(const RlScene *scene);

#endif
