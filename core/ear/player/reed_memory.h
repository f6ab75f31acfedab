/* SPDX-License-Identifier: ISC */
/* What is remembered of the player's reeds from block to block. */
#ifndef RL_CORE_EAR_PLAYER_REED_MEMORY_H
#define RL_CORE_EAR_PLAYER_REED_MEMORY_H

#include "core/ear/player/beats.h"

/** Partials compared with the first: the second and the fourth; of a reed that sounds alone, and of
    the reed and its octave together. */
enum { RL_KNOWN_SECOND, RL_KNOWN_FOURTH, RL_KNOWN_PARTIALS };
enum { RL_KNOWN_ALONE, RL_KNOWN_OCTAVE, RL_KNOWN };

typedef struct {
  float even[RL_REED_NOTES + 1]; /**< dB: even against odd partials of each pitch, the last of the
                                    whole harp: what three blocks in ten lie below. Octaves have
                                    more of the even ones and so hardly count */
  float even_blocks[RL_REED_NOTES + 1];                    /**< how many blocks that rests on */
  float known[RL_KNOWN][RL_KNOWN_PARTIALS][RL_REED_NOTES]; /**< dB beside the first, by pitch */
  float known_blocks[RL_KNOWN][RL_REED_NOTES];             /**< how many blocks that rests on */
  float lag[9][RL_REED_NOTES]; /**< of each pitch, by block; 0 unknown */
  int   now;
  float mean_off, mean_drift;
} RlReedMemory;

void rl_reed_memory_init(RlReedMemory *memory);

/** A block is looked at: `lag` of each pitch. One that is not: the lags stay as they were. */
void rl_reed_memory_lags(RlReedMemory *memory, const float *lag);
void rl_reed_memory_rest(RlReedMemory *memory);

/** That note, or an octave above it, sounds for sure: learns how strong its even partials are. */
void rl_reed_memory_even(RlReedMemory *memory, const RlReeds *reeds, int note,
                         const RlLines *lines);

/** That note, alone or with its octave, sounds for sure: learns its partials, if they keep step as
    those of one reed do, or of two. */
void rl_reed_memory_partials(RlReedMemory *memory, const RlReeds *reeds, int note, int known,
                             const RlLines *lines, const RlBeats *beats);

/** Even partials against odd ones, dB; what that is of single notes of a pitch: its own and its
    neighbours', as far as they are known, else the harp's. */
float rl_reed_even(const RlReedNote *note, const RlLines *lines);
float rl_reed_even_usual(const RlReedMemory *memory, const RlReeds *reeds, const RlReedNote *of);

/** One of these partials beside what it is of that pitch alone, or with its octave, dB. */
float rl_reed_beside_known(const RlReedMemory *memory, const RlReeds *reeds, int pitch, int known,
                           const RlLines *lines, int which);

/** Whether that is known. */
bool rl_reed_known(const RlReedMemory *memory, int pitch, int known);

#endif
