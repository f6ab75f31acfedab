/* SPDX-License-Identifier: ISC */
/* What the net is told: of each candidate, and of the moment as a whole ("nothing sounds"). All are
 * scaled to about -2..2. */
#ifndef RL_CORE_EAR_PLAYER_FIGURES_H
#define RL_CORE_EAR_PLAYER_FIGURES_H

#include "core/ear/player/background.h"
#include "core/ear/player/candidates.h"
#include "core/ear/player/reed_memory.h"

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
  float even_beats;    /**< how unsteady the second partial is, beside the first */
  float locked[4];     /**< rl_beats_locked() of the second partial over 43, 85, 171, 336 ms */
  float third_locked;  /**< the same of the third over 85 ms */
  float fourth_locked; /**< and of the fourth against the second */
  float locked_mean[RL_BEAT_MEANS]; /**< see RlBeats */
  /** 1 if it is known how its lowest reed sounds alone, with its octave; partials against those. */
  float known[RL_KNOWN], beside_known[RL_KNOWN][RL_KNOWN_PARTIALS];
  float sways[2]; /**< how far the second moved beside the first over 85, 171 ms; if both sounded */
  /** Its weakest fundamental, the loudest it does not explain: against what sounds behind the
     player there. */
  float above_behind, others_above_behind;
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
  float above_behind; /**< most of all fundamentals, against what sounds behind the player */
  float level_above_behind;
  float lows, lows_long; /**< what lies below the harp, 20 ms and two seconds, against all now */
  float below_lately;    /**< level against its peak of the last seconds */
  float one;
} RlMomentFigures;

enum {
  RL_CANDIDATE_FIGURES = sizeof(RlCandidateFigures) / sizeof(float),
  RL_MOMENT_FIGURES    = sizeof(RlMomentFigures) / sizeof(float)
};

/** `reference`: dB full scale of the player's usual level. Fills a row for each candidate. */
void rl_figures_make(const RlCandidates *candidates, const RlReeds *reeds, const RlTape *tape,
                     const RlLines *lines, const RlBeats *beats, const RlBackground *background,
                     const RlHarpTuning *tuning, float reference, RlReedMemory *memory,
                     RlCandidateFigures *figures, RlMomentFigures *moment);

#endif
