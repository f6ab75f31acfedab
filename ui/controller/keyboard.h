/* SPDX-License-Identifier: ISC */
/* Keys: what is typed, the focus that Tab and the arrows move, and shortcuts. Everything the mouse
   can do can be done by keys. */
#ifndef RL_UI_CONTROLLER_KEYBOARD_H
#define RL_UI_CONTROLLER_KEYBOARD_H

#include "ui/controller/controller.h"

/** An RlInput of kind RL_INPUT_KEY. False if nothing wants the key; the host may have it then. */
bool rl_keyboard_key(RlController *controller, const RlInput *input, double now);

#endif
