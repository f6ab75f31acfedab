/* SPDX-License-Identifier: ISC */
/* How tries ended, note by note of the harp: counted, ranked, and as text. Pure; any thread but
   that of audio. */
#ifndef RL_CORE_TRAINER_TRIES_H
#define RL_CORE_TRAINER_TRIES_H

#include "core/harmony/harp.h"

enum { RL_TRIES_MOST = 999999 /**< counted of one note */, RL_TRIES_TEXT = 4096 };

/** Of one note: tries, and those of them that were held (rl_try_held()). */
typedef struct {
  int all, held;
} RlTriesOf;

typedef struct {
  RlTriesOf note[RL_HOLES][RL_TECHNIQUES]; /**< by hole - 1 */
} RlTries;

/** Counts one. */
void rl_tries_add(RlTries *tries, int hole, RlTechnique technique, bool held);

/** Adds what was counted elsewhere. */
void rl_tries_sum(RlTries *tries, const RlTries *more);

/** A note of the harp. */
typedef struct {
  uint8_t hole, technique;
} RlTriedNote;

/** The bends and overblows that this player has tried on this harp, those first that are missed
    most: by (missed + 1) / (tries + 2), Laplace's rule of succession. Returns how many. */
int rl_tries_missed(const RlTries *tries, const RlHarp *harp, RlPlayer player,
                    RlTriedNote missed[RL_HOLES * RL_TECHNIQUES]);

/** Reads what rl_tries_write() wrote; a line that is not understood is left out. */
void rl_tries_read(RlTries *tries, RlSlice text);

/** Appends a line for each note tried: hole, technique, tries, held: `3 draw2 14 9`. At most
    RL_TRIES_TEXT bytes. */
void rl_tries_write(const RlTries *tries, RlText *text);

#endif
