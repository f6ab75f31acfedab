/* SPDX-License-Identifier: ISC */
/* Text that comes as if a person typed it: what lay on the clipboard. The window's thread. */
#ifndef RL_UI_WINDOW_KEYS_H
#define RL_UI_WINDOW_KEYS_H

#include "ui/window/window.h"

#include "core/text/text.h"

/** Gives the face every character as a key, up to the first byte that is no UTF-8; a newline as
    RL_KEY_ENTER, a tab as a space. */
void rl_keys_type(const RlWindowCallbacks *face, RlSlice text);

#endif
