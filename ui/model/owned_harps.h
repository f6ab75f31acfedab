/* SPDX-License-Identifier: ISC */
/* The harps a person owns, kept between sessions in a file of their own: a line for each register
   and tuning, `standard, Richter: G A C D`. */
#ifndef RL_UI_MODEL_OWNED_HARPS_H
#define RL_UI_MODEL_OWNED_HARPS_H

#include "core/harmony/harp.h"

enum { RL_REGISTERS = 3, RL_OWNED_MAX = 12 * RL_REGISTERS * RL_TUNINGS };

/** Bit `key` of a register (low, standard, high) and tuning: that harp is owned. */
typedef struct {
  uint16_t keys[RL_REGISTERS][RL_TUNINGS];
} RlOwnedHarps;

/** Reads the file in a folder; none, or lines that are no such lines, own nothing. False if there
   is one that cannot be read. */
bool rl_owned_harps_read(RlOwnedHarps *owned, const char *folder);

/** Writes it, and the folder before if need be. False, and errno, if that cannot be. What was there
    before stays until the new file is whole. */
bool rl_owned_harps_write(const RlOwnedHarps *owned, const char *folder);

/** All of them; returns how many. */
int rl_owned_harps_list(const RlOwnedHarps *owned, RlHarpChoice choices[RL_OWNED_MAX]);

#endif
