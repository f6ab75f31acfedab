/* SPDX-License-Identifier: ISC */
/* X11 keys, buttons and modifiers as RlInput. */
#ifndef RL_UI_WINDOW_X_INPUT_H
#define RL_UI_WINDOW_X_INPUT_H

#include "ui/model/input.h"

#include <X11/Xlib.h>

/** An input at a point (pixels) with the modifiers of an X event's `state`. */
RlInput rl_x_input(RlInputKind kind, int x, int y, unsigned state);

/** The key of an event: a Unicode character or an RlKeyName; 0 for a key without either. */
int rl_x_key(XKeyEvent *event);

/** A button event: a press or release of the left button, or a step of the wheel. False: another
    button. */
bool rl_x_button(const XButtonEvent *event, RlInput *input);

#endif
