/* SPDX-License-Identifier: ISC */
/* What a click on a spot or a key does: one function for each RlActionKind. */
#ifndef RL_UI_CONTROLLER_ACTIONS_H
#define RL_UI_CONTROLLER_ACTIONS_H

#include "ui/controller/controller.h"

/** Performs an action at `now`, seconds on the controller's clock. */
void rl_action_run(RlController *controller, RlAction action, double now);

/** The action that a key stands for, RL_ACTION_NONE if none. */
RlActionKind rl_action_of_key(int key);

/** What a key does to the selected note while notes are corrected; of the kind RL_ACTION_NONE if
    nothing. */
RlAction rl_action_of_note_key(const RlInput *input);

#endif
