/* SPDX-License-Identifier: ISC */
/* What is being typed: one line in a box, a bar of the chart, a whole text. */
#ifndef RL_UI_DRAW_TYPING_H
#define RL_UI_DRAW_TYPING_H

#include "ui/draw/scene.h"

/** Draws the first line that is being typed into a box, in letters of that size (units). */
void rl_draw_typing(const RlScene *scene, RlRect box, double size);

enum { RL_FIND_NAME_SIZE = 32 };

/** Writes the name of the field in which one searches `listed` things of `all`; where fewer than
    all are listed, or more than `shown`, it says how many: `find among 4 of 20`, `find among 20`.
 */
void rl_find_name_write(int listed, int all, int shown, char name[RL_FIND_NAME_SIZE]);

/** Draws the editor of a bar, where one is being edited. */
void rl_draw_editor(const RlScene *scene);

/** Draws the screen of the chart or plan as text. */
void rl_draw_text(const RlScene *scene);

#endif
