/* SPDX-License-Identifier: ISC */
/* Settings, buttons, the open list of a setting, problems and notices. */
#ifndef RL_UI_DRAW_CONTROLS_H
#define RL_UI_DRAW_CONTROLS_H

#include "ui/draw/scene.h"

/** Draws the spots from index `from` up to, not including, `to`. */
void rl_draw_controls(const RlScene *scene, int from, int to);

/** Draws the open list of a setting, where one is open. */
void rl_draw_list(const RlScene *scene);

/** Draws what is wrong, in words, where something is. */
void rl_draw_problem(const RlScene *scene);

/** Draws the notice, where there is one. */
void rl_draw_notice(const RlScene *scene);

#endif
