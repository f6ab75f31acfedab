/* SPDX-License-Identifier: ISC */
/* A title in the list that is typed over: of a take that was kept, at once, or of any phrase. */
#ifndef RL_UI_CONTROLLER_NAMING_H
#define RL_UI_CONTROLLER_NAMING_H

#include "ui/controller/controller.h"

/** Selects the phrase of the player's own that has that title, and begins to type another one. */
void rl_naming_open(RlController *controller, const char *title);

/** Gives it the title that was typed. False if that cannot be; the error is shown then. */
bool rl_naming_keep(RlController *controller);

/** Ends typing a title, a remark or a feel, if that is what is typed: what was typed is kept if it
 * can be. */
void rl_naming_leave(RlController *controller);

#endif
