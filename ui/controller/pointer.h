/* SPDX-License-Identifier: ISC */
/* The mouse: presses, releases and the wheel. An action is performed when the button goes up on the
   spot where it went down; taps and other triggers when it goes down. */
#ifndef RL_UI_CONTROLLER_POINTER_H
#define RL_UI_CONTROLLER_POINTER_H

#include "ui/controller/controller.h"

/** Each takes an RlInput of its kind. */
void rl_pointer_press(RlController *controller, const RlInput *input, double now);
void rl_pointer_release(RlController *controller, const RlInput *input, double now);
void rl_pointer_scroll(RlController *controller, const RlInput *input, double now);

#endif
