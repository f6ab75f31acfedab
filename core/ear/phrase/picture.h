/* SPDX-License-Identifier: ISC */
/* A picture of sound for the eyes: half steps over time, as loud as they sound. In memory of the
   caller; any thread but audio. */
#ifndef RL_CORE_EAR_PHRASE_PICTURE_H
#define RL_CORE_EAR_PHRASE_PICTURE_H

#include "core/ear/phrase/lift.h"

enum {
  RL_LIFT_PICTURE_ROWS    = 72,
  RL_LIFT_PICTURE_LOWEST  = 40, /**< MIDI number of the lowest row */
  RL_LIFT_PICTURE_COLUMNS = 512
};

/** Bytes that rl_lift_picture() works in. */
size_t rl_lift_picture_bytes(void);

/** Draws `samples` samples of the clip from sample `from` on. `tuning`: of the record, half steps.
    `memory`: rl_lift_picture_bytes() of it, aligned as for any type. Returns the number of columns,
    one for 20 ms or more, at most RL_LIFT_PICTURE_COLUMNS; each has RL_LIFT_PICTURE_ROWS cells from
    the lowest up: 255 is the loudest of all, 0 what is 60 dB below it. */
int rl_lift_picture(const RlLiftSound *sound, size_t from, size_t samples, float tuning,
                    void *memory, uint8_t *cells);

#endif
