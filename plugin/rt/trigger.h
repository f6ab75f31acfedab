/* SPDX-License-Identifier: ISC */
/* When a trigger port has been pressed. Going up it always has. Some hosts put it back by
   themselves; some never do, and flip it at each press of a foot switch or a button, so that going
   down is the next press. How long it stood at 1 tells them apart. The audio thread's. */
#ifndef RL_PLUGIN_RT_TRIGGER_H
#define RL_PLUGIN_RT_TRIGGER_H

#include <stdbool.h>
#include <stdint.h>

/** One port. Zeroed at the beginning. */
typedef struct {
  bool    rose;  /* it went up while it was watched, at frame `since` */
  int     habit; /* above 0: it is left at 1 until the next press, not put back; -2 to 2 */
  int64_t since;
} RlTrigger;

/** The port goes up or down at frame `now`. A host that leaves it at 1 does so for `least` frames
   at least, which is learnt from the first time that it does, unless the host is one that `flips`.
    Returns whether that is a press. */
bool rl_trigger_moves(RlTrigger *trigger, bool up, int64_t now, int64_t least, bool flips);

/** It is moved, but nobody has pressed it: a session is restored, or it is seen for the first time.
 */
void rl_trigger_is_set(RlTrigger *trigger);

/** It goes down because an automation plays: never a press, now or later. */
void rl_trigger_is_played(RlTrigger *trigger);

#endif
