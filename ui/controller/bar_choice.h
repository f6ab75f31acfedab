/* SPDX-License-Identifier: ISC */
/* Bars of the chart that are chosen, by dragging over them or by Shift with arrows, to be written
   down from what was just heard of the track. Whether they were heard the plugin knows. */
#ifndef RL_UI_CONTROLLER_BAR_CHOICE_H
#define RL_UI_CONTROLLER_BAR_CHOICE_H

#include "ui/controller/controller.h"

/** The pointer moves while a button is held that went down on a bar. */
void rl_bar_choice_drag(RlController *controller, const RlInput *input);

/** Shift with an arrow begins at the bar that has the focus, else at the one that plays, and moves
    the other end; Enter writes down, Escape gives up. False if it is none of these. */
bool rl_bar_choice_key(RlController *controller, const RlInput *input, double now);

/** No bars are chosen any more. */
void rl_bar_choice_end(RlController *controller);

/** Has the plugin write them down. */
void rl_bar_choice_lift(RlController *controller);

#endif
