/* SPDX-License-Identifier: ISC */
/* What the net is told: of each candidate, and of the moment as a whole ("nothing sounds"). All are
 * scaled to about -2..2. */
#ifndef RL_CORE_EAR_PLAYER_FIGURES_H
#define RL_CORE_EAR_PLAYER_FIGURES_H

#include "core/ear/player/beats.h"
#include "core/ear/player/candidates.h"

/** Of a candidate. The order is that of the learned table. dB unless said otherwise. */
typedef struct {
  float fit[2], fit_beside_best[2];              /**< slow, fast: nepers of what its combs leave */
  float fit_new[2], fit_new_beside_best[2];      /**< the same over 256 and 128 samples */
  float weakest[2], unexplained[2];              /**< slow, fast; see RlCandidate */
  float rise_least, rise_most, unexplained_rise; /**< over 43 ms */
  float since_fall; /**< least rise of its notes since the steepest fall */
  float fall_85ms, fall_171ms, fast_beside_slow; /**< least of its notes */
  float last_rise;            /**< steepest rise in 11 ms, of the last 85 ms; least of its notes */
  float below_peak[2];        /**< each note's fall from its own peak: least, most */
  float lowest, highest;      /**< octaves of the fundamentals */
  float off_tune;             /**< cents from this harp's tuning; one hole only */
  float drift;                /**< cents its lag moved over 43 ms; one hole only */
  float half_lag, double_lag; /**< nepers: does the sound repeat at half the lag, at twice it? */
  float explained;            /**< share of the fundamentals' power */
  float partial[RL_REED_PARTIALS]; /**< of the lowest note against the strongest of them */
  float second_beside_first, third_beside_second;
  float even; /**< even partials against odd ones, beside what single notes of this harp have */
  float even_beats;     /**< how unsteady the second partial is, beside the first */
  float locked[3];      /**< rl_beats_locked() of the second partial over 43, 85, 171 ms */
  float third_locked;   /**< the same of the third over 85 ms */
  float fourth_locked;  /**< and of the fourth against the second */
  float locked_mean[2]; /**< see RlBeats: second, fourth */
  float sways[2]; /**< how far the second moved beside the first over 85, 171 ms; if both sounded */
  float top_beside_low;       /**< highest note's fundamental against the lowest's */
  float hidden_chord;         /**< loudest chord that hides in its partials */
  float below;                /**< loudest line below it */
  float common, bent;         /**< several holes only: the common period; see RlCandidate */
  float kind[RL_STATE_KINDS]; /**< 1 for its kind */
  float level, below_top, rise_21ms, rise_85ms, rise_171ms, steepest_fall, since_steepest,
    steepest_ago; /**< of all the sound; the last in thirds of a second */
  float one;
} RlCandidateFigures;

/** Of the moment. */
typedef struct {
  float fit[2], fit_new[2], level, below_top, rise_21ms, rise_85ms, rise_171ms, steepest_fall,
    since_steepest, steepest_ago, last_rise;
  float loudest_share, loudest_rise, loudest_since_fall, loudest_below_all, fourth;
  float alike[3]; /**< of neighbouring samples: how dark the sound is */
  float drift;    /**< cents the best single pitch moved over 43 ms */
  float mean_off; /**< cents off this harp's tuning, mean over a third of a second */
  float mean_drift;
  float one;
} RlMomentFigures;

enum {
  RL_CANDIDATE_FIGURES = sizeof(RlCandidateFigures) / sizeof(float),
  RL_MOMENT_FIGURES    = sizeof(RlMomentFigures) / sizeof(float)
};

/** What is remembered between blocks. */
typedef struct {
  float even[RL_REED_NOTES + 1]; /**< dB: even against odd partials of each pitch, the last of the
                                    whole harp: what three blocks in ten lie below. Octaves have
                                    more of the even ones and so hardly count */
  float even_blocks[RL_REED_NOTES + 1]; /**< how many blocks that rests on */
  float lag[9][RL_REED_NOTES];          /**< of each pitch, by block; 0 unknown */
  int   now;
  float mean_off, mean_drift;
} RlFigureMemory;

void rl_figure_memory_init(RlFigureMemory *memory);

/** `reference`: dB full scale of the player's usual level. Fills a row for each candidate. */
void rl_figures_make(const RlCandidates *candidates, const RlReeds *reeds, const RlTape *tape,
                     const RlLines *lines, const RlBeats *beats, const RlHarpTuning *tuning,
                     float reference, RlFigureMemory *memory, RlCandidateFigures *figures,
                     RlMomentFigures *moment);

/** That note, or an octave above it, sounds for sure: learns how strong its even partials are. */
void rl_figures_even_learn(RlFigureMemory *memory, const RlReeds *reeds, int note,
                           const RlLines *lines);

#endif
