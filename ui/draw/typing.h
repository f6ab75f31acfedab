/* SPDX-License-Identifier: ISC */
/* What is being typed: one line in a box, a bar of the chart, a whole text. */
#ifndef RL_UI_DRAW_TYPING_H
#define RL_UI_DRAW_TYPING_H

#include "ui/draw/scene.h"

/** Draws the first line that is being typed into a box, in letters of that size (units). */
void rl_draw_typing(const RlScene *scene, RlRect box, double size);

/** Draws the editor of a bar, where one is being edited. */
void rl_draw_editor(const RlScene *scene);

/** Draws the screen of the chart or plan as text. */
void rl_draw_text(const RlScene *scene);

#endif
