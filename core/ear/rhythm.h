/* SPDX-License-Identifier: ISC */
/* How the band plays. For every seat in the bar, tempo and cell of 20 ms: how likely each feel is
   if the band is there, and what the onsets now heard are worth there. It knows no form: the
   lattice does, and it takes its onsets from here, so that it needs no states for the feels. */
#ifndef RL_CORE_EAR_RHYTHM_H
#define RL_CORE_EAR_RHYTHM_H

#include "core/ear/hearing.h"
#include "core/ear/score.h"

enum {
  RL_EAR_STEPS     = 50,  /**< a second */
  RL_EAR_FEELS     = 8,   /**< as learned: see learned.h; a multiple of four */
  RL_EAR_TEMPI_MAX = 112, /**< 50 to 220 felt beats a minute, 1.4 % apart */
  RL_EAR_PHASES    = 24,  /**< of a beat, in the learned tables */
  RL_EAR_CELLS_MAX = 64
};

/** Its state; the arrays lie behind it in the caller's memory. */
typedef struct {
  const RlScore *score;
  const double  *period;       /**< steps a beat, of each tempo */
  int            tempi, cells; /**< cells: of one seat */
  float          worth[128];   /**< what a letter of the learned tables is worth */
  float          onset[RL_BEAT_KINDS][2 * RL_EAR_PHASES]
             [RL_EAR_FEELS];                         /**< of this step's two hops: twice
                               the first one's phase, and 1 where the second's is the next */
  uint8_t phase[RL_EAR_TEMPI_MAX][RL_EAR_CELLS_MAX]; /**< the same of each cell */
  int32_t offset[RL_EAR_TEMPI_MAX];                  /**< of a row in a seat's cells */
  float  *feel;                                      /**< [seat][offset + cell][feel], sum 1 */
  float  *weight; /**< [seat][offset + cell]: what this step's onsets are worth there */
} RlRhythm;

/** Bytes behind it. */
size_t rl_rhythm_bytes(int seats, const double *period, int tempi);

/** `memory`: that many bytes, aligned for floats; `period` stays. */
void rl_rhythm_init(RlRhythm *rhythm, void *memory, const RlScore *score, const double *period,
                    int tempi);

/** All feels are equally likely again. */
void rl_rhythm_forget(RlRhythm *rhythm);

/** On by a step, for tempi `first` to `last`. `symbol`: of its two hops. */
void rl_rhythm_step(RlRhythm *rhythm, const uint8_t symbol[2], int first, int last);

/** Where in the beat the band is likely to be, at tempi near one. */
typedef struct {
  double phase;  /**< 0..1 */
  double period; /**< steps */
  float  off;    /**< what a place nearer to half a beat away is worth in a step, 0..1 */
} RlGrid;

/** After a step: weighs what lies off a grid less. */
void rl_rhythm_prefer(RlRhythm *rhythm, RlGrid grid, int first, int last);

/** The cells of a row: what this step's onsets are worth; padded to a multiple of four. */
static inline const float *
rl_rhythm_row(const RlRhythm *const r, const int seat, const int tempo)
{
  return r->weight + (size_t)seat * (size_t)r->cells + r->offset[tempo];
}

/** The likeliest feel there. */
int rl_rhythm_feel(const RlRhythm *rhythm, int seat, int tempo, int cell);

#endif
