/* SPDX-License-Identifier: ISC */
/* What is being typed: one line in a box, a bar of the chart, a whole text. */
#ifndef RL_UI_DRAW_TYPING_H
#define RL_UI_DRAW_TYPING_H

#include "ui/draw/scene.h"

/** Draws the first line that is being typed into a box, in letters of that size (units). */
void rl_draw_typing(const RlScene *scene, RlRect box, double size);

enum { RL_FIND_NAME_SIZE = 32 };

/** Writes the name of the field in which one searches `listed` things; where more are listed than
    `shown`, it says how many: `find among 20`. */
void rl_find_name_write(int listed, int shown, char name[RL_FIND_NAME_SIZE]);

/** Draws the editor of a bar, where one is being edited. */
void rl_draw_editor(const RlScene *scene);

/** Draws the screen of the chart or plan as text. */
void rl_draw_text(const RlScene *scene);

#endif
