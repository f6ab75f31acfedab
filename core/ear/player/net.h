/* SPDX-License-Identifier: ISC */
/* Two small nets, learned together as one choice (tests/ear/hear/learn.py): a score for each
 * candidate, and one for "nothing". */
#ifndef RL_CORE_EAR_PLAYER_NET_H
#define RL_CORE_EAR_PLAYER_NET_H

#include "core/ear/player/figures.h"

enum { RL_NET_HIDDEN = 48 };

/** Learned: weights of each hidden unit by figure, and of the score by hidden unit. */
typedef struct {
  float candidate[RL_CANDIDATE_FIGURES][RL_NET_HIDDEN], candidate_out[RL_NET_HIDDEN];
  float moment[RL_MOMENT_FIGURES][RL_NET_HIDDEN], moment_out[RL_NET_HIDDEN];
} RlNet;

extern const RlNet rl_net;

/** Nepers of each candidate, and of "nothing", against each other. */
void  rl_net_candidates(const RlNet *net, const RlCandidateFigures *figures, int count, float *to);
float rl_net_nothing(const RlNet *net, const RlMomentFigures *figures);

#endif
