/* SPDX-License-Identifier: ISC */
/* Sound played slower at the same pitch, by SoundTouch (LGPL-2.1, linked dynamically). Not for the
   audio thread; any other. */
#ifndef RL_PLUGIN_WORKER_SLOWER_H
#define RL_PLUGIN_WORKER_SLOWER_H

#include <stdbool.h>
#include <stddef.h>

/** Can it be done in this build? Else not_slower.c stands in the place of slower.c. */
bool rl_slower_can(void);

/** Writes `room` samples: `sound` at `speed` (0.25 to 1) times its own; what is not reached is
    silence. False without memory, or where it cannot be done. */
bool rl_slower(const float *sound, size_t count, double rate, double speed, float *out,
               size_t room);

#endif
