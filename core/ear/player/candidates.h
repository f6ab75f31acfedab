/* SPDX-License-Identifier: ISC */
/* Which of all that could sound deserve a closer look: the sixteen that explain the sound best by a
   quick score, with their lags refined. */
#ifndef RL_CORE_EAR_PLAYER_CANDIDATES_H
#define RL_CORE_EAR_PLAYER_CANDIDATES_H

#include "core/ear/player/lines.h"

enum { RL_CANDIDATES = 16 };

/** The harp's own tuning, as far as it is known. */
typedef struct {
  float all;                 /**< cents */
  float note[RL_REED_NOTES]; /**< cents beside that */
} RlHarpTuning;

/** Cents that a note of this harp is off; a bend by as much as its reed. */
float rl_harp_tuning_of(const RlHarpTuning *tuning, const RlReeds *reeds, int note);

/** What a state leaves unexplained; see rl_tape_left(). */
typedef struct {
  uint8_t state;
  float   quick;
  float   left[RL_WINDOWS]; /**< shares of the power that its combs leave */
  float   weakest[2],
    unexplained[2]; /**< dB against the loudest line, slow and fast window: its weakest fundamental,
                       the loudest fundamental of others that it does not explain */
  float lag[RL_REED_TOGETHER];
  float bent; /**< how far the refined lags lie from the harp's, a share */
} RlCandidate;

typedef struct {
  int         count;
  RlCandidate candidate[RL_CANDIDATES]; /**< best first */
  float best[RL_WINDOWS]; /**< least left: over all states, the two shortest over the sixteen */
  float loudest[2];       /**< dB of the loudest fundamental, slow and fast */
  int   first;            /**< the note that is loudest in the fast window */
  int   order[2][RL_REED_NOTES + 1]; /**< notes of different pitch from the loudest down, slow and
                                        fast; -1 behind the last */
  float height[RL_REED_STATES];      /* what the quick score has of a state's number and pitch */
  float lag[RL_REED_NOTES];          /**< of each pitch, where the sound repeats best */
  int   live[RL_REED_STATES];        /**< states of several holes whose fundamentals all sound */
  float live_weakest[RL_REED_STATES];
  int   lives;
} RlCandidates;

/** Another harp. */
void rl_candidates_init(RlCandidates *candidates, const RlReeds *reeds);

/** `tape` has been compared. `belief`: how likely each state was before. `same`: one hole surely
   goes on, so fewer of the others are looked at. */
void rl_candidates_choose(RlCandidates *candidates, const RlReeds *reeds, const RlTape *tape,
                          const RlLines *lines, const RlHarpTuning *tuning, const float *belief,
                          bool same);

#endif
