/* SPDX-License-Identifier: ISC */
/* Settings and their buttons, and the open list of one. Included by ui/layout only. */
#ifndef RL_UI_LAYOUT_SETTINGS_H
#define RL_UI_LAYOUT_SETTINGS_H

#include "ui/layout/layout.h"

/** All settings and the buttons of the player's clock in one row. */
void rl_settings_place_row(RlLayout *layout, const RlView *view, RlRect area);

/** The same on a screen of their own, with the buttons that a small window has no other place for.
 */
void rl_settings_place_screen(RlLayout *layout, const RlView *view);

/** The open list of a setting: above or below it, inside the window. While it is open nothing else
    can be clicked, but a click beside it closes it. */
void rl_settings_place_list(RlLayout *layout, const RlView *view);

#endif
