/* SPDX-License-Identifier: ISC */
/* Text from the clipboard as if it had been typed. The window's thread. */
#ifndef RL_UI_WINDOW_KEYS_H
#define RL_UI_WINDOW_KEYS_H

#include "ui/window/window.h"

#include "core/text/text.h"

/** Sends every character as a key, up to the first byte that is not UTF-8: a newline as
   RL_KEY_ENTER, a tab as a space; other control characters are left out. */
void rl_keys_type(const RlWindowCallbacks *callbacks, RlSlice text);

#endif
