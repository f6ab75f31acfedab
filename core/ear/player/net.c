/* SPDX-License-Identifier: ISC */
#include "core/ear/player/net.h"

#include "core/ear/four.h"

static float
score(const float (*const weights)[RL_NET_HIDDEN], const float *const out,
      const float *const figures, const int count)
{
  RlFour hidden[RL_NET_HIDDEN / 4] = {{0}}, sum = {0};
  for (int i = 0; i < count; ++i) {
    if (figures[i] == 0) { /* many are */
      continue;
    }
    for (int k = 0; k < RL_NET_HIDDEN / 4; ++k) {
      hidden[k] += rl_four(figures[i]) * rl_four_at(weights[i] + 4 * k);
    }
  }
  for (int k = 0; k < RL_NET_HIDDEN / 4; ++k) {
    sum += rl_four_max(hidden[k], (RlFour){0}) * rl_four_at(out + 4 * k);
  }
  return rl_four_sum(sum);
}

float
rl_net_candidate(const RlNet *const net, const RlCandidateFigures *const figures)
{
  return score(net->candidate, net->candidate_out, (const float *)figures, RL_CANDIDATE_FIGURES);
}

float
rl_net_nothing(const RlNet *const net, const RlMomentFigures *const figures)
{
  return score(net->moment, net->moment_out, (const float *)figures, RL_MOMENT_FIGURES);
}
