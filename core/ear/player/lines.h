/* SPDX-License-Identifier: ISC */
/* How loud the sound is at each line of the harp: each block's spectrum there, between its bins;
   eight or four of them under a Hann-like staircase are the windows of 1024 and 512 samples. In
   decibels, with what came before. */
#ifndef RL_CORE_EAR_PLAYER_LINES_H
#define RL_CORE_EAR_PLAYER_LINES_H

#include "core/ear/player/tape.h"

enum {
  RL_LINES_PAST = 64, /**< blocks kept, a third of a second */
  RL_LINES_NEAR = 12  /**< bins that a line between them is read from */
};

typedef struct {
  int   count, newest, now;                             /* now: row of `past` */
  float near[RL_REED_LINES][RL_LINES_NEAR];             /* weights of the bins about a line */
  int   first[RL_REED_LINES];                           /* of these, in what bins_make() makes */
  float turn_re[RL_REED_LINES], turn_im[RL_REED_LINES]; /* by one block */
  float at_re[RL_REED_LINES], at_im[RL_REED_LINES];     /* turned so far */
  float re[RL_TAPE_BLOCKS][RL_REED_LINES], im[RL_TAPE_BLOCKS][RL_REED_LINES];
  float now_re[RL_REED_LINES], now_im[RL_REED_LINES]; /**< window of 1024 */
  float slow[RL_REED_LINES];                          /**< the same in dB */
  float past[RL_LINES_PAST][RL_REED_LINES];           /**< dB, window of 512, by block */
  float peak[RL_REED_LINES];                          /**< dB, falls 28 dB a second */
  float level[RL_LINES_PAST];                         /**< dB of all the sound, last 256 samples */
  float lately;                                       /**< its peak, falls 2 dB a second */
} RlLines;

void rl_lines_init(RlLines *lines, const RlReeds *reeds);

/** A block is full. */
void rl_lines_block(RlLines *lines, const RlTape *tape);

/** Rows of `past`, and `level`, that many blocks before: 0 to 63. */
static inline const float *
rl_lines_fast(const RlLines *const lines, const int before)
{
  return lines->past[(unsigned)(lines->now + RL_LINES_PAST - before) % RL_LINES_PAST];
}

static inline float
rl_lines_level(const RlLines *const lines, const int before)
{
  return lines->level[(unsigned)(lines->now + RL_LINES_PAST - before) % RL_LINES_PAST];
}

#endif
