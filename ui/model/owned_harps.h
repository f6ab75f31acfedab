/* SPDX-License-Identifier: ISC */
/* The harps that the player owns, kept between sessions in the file `harps` of a folder: a line for
   each register and tuning, `standard, Richter: G A C D`. Not the audio thread: it uses files. */
#ifndef RL_UI_MODEL_OWNED_HARPS_H
#define RL_UI_MODEL_OWNED_HARPS_H

#include "core/harmony/harp.h"

enum { RL_REGISTERS = 3, RL_OWNED_MAX = 12 * RL_REGISTERS * RL_TUNINGS };

/** Bit `key` (0: C) of a register (low, standard, high) and tuning: that harp is owned. */
typedef struct {
  uint16_t keys[RL_REGISTERS][RL_TUNINGS];
} RlOwnedHarps;

/** Reads the file in a folder; lines that are not understood say nothing. Without a folder or a
    file `owned` stays as it is. False, and it stays too, if there is a file that cannot be read. */
bool rl_owned_harps_read(RlOwnedHarps *owned, const char *folder);

/** Writes the file; creates the folder if it does not exist. The old file stays until the new one
    is complete; its mode stays, a link stays a link, and lines that say nothing of harps (up to
    8 KiB) stay at its head. False, and errno is set, if that fails. */
bool rl_owned_harps_write(const RlOwnedHarps *owned, const char *folder);

/** Lists all harps owned; returns how many. */
int rl_owned_harps_list(const RlOwnedHarps *owned, RlHarpChoice choices[RL_OWNED_MAX]);

#endif
