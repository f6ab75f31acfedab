/* SPDX-License-Identifier: ISC */
/* The screen of the music: comb, lane, chart and settings, in each shape. Included by
   ui/layout only. */
#ifndef RL_UI_LAYOUT_PLAY_H
#define RL_UI_LAYOUT_PLAY_H

#include "ui/layout/layout.h"

/** Chart, settings and buttons around the comb; and the editor of a bar, where one is being edited.
 */
void rl_play_place(RlLayout *layout, const RlView *view);

#endif
