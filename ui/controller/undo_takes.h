/* SPDX-License-Identifier: ISC */
/* Takes put back to what they were, beside those that came since. Texts in, a text out. */
#ifndef RL_UI_CONTROLLER_UNDO_TAKES_H
#define RL_UI_CONTROLLER_UNDO_TAKES_H

#include "core/arrange/plan.h"

/** Can a step be undone, or done again? */
typedef enum {
  RL_UNDO_CAN,
  RL_UNDO_CHANGED, /**< no: somebody else has changed the same thing since */
  RL_UNDO_NOT_NOW  /**< not now; the reason says what to do first */
} RlUndoAnswer;

/** `now` are the takes as they are. Where all those of `from` are still among them, `result` (for
    RL_PLAN_MAX bytes and the NUL) gets those of `to`, and behind them the rest of `now`. */
RlUndoAnswer rl_undo_takes(const char *now, const char *from, const char *to, char *result,
                           const char **why);

#endif
