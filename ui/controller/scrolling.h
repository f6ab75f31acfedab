/* SPDX-License-Identifier: ISC */
/* Scrolling of what is longer than the window: the chart, a text, the list of phrases or harps. A
   chart that was scrolled stays so for eight seconds, then it follows the music again. */
#ifndef RL_UI_CONTROLLER_SCROLLING_H
#define RL_UI_CONTROLLER_SCROLLING_H

#include "ui/controller/controller.h"

typedef struct {
  double since; /**< when the chart was scrolled last; seconds */
} RlScrolling;

/** Scrolls by so many steps of the mouse wheel, down if positive. */
void rl_scrolling_by(RlController *controller, int steps, double now);

/** Scrolls by a key: Page Up and Down, Home and End, and an arrow key at the end of a list that
    goes on beyond the window. False if it did nothing. */
bool rl_scrolling_key(RlController *controller, int key, double now);

/** Keeps the caret of a text that is being edited in sight. */
void rl_scrolling_follow_caret(RlController *controller);

/** Lets the chart follow the music again when its time has come. */
void rl_scrolling_advance(RlController *controller, double now);

#endif
