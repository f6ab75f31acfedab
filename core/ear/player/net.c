/* SPDX-License-Identifier: ISC */
#include "core/ear/player/net.h"

#include "core/ear/four.h"

#include <stddef.h>
#include <string.h>

enum {
  FOURS = RL_NET_HIDDEN / 4,
  OWN = offsetof(RlCandidateFigures, level) / sizeof(float) /* those behind are of all the sound */
};

static inline void
weigh(const float (*const weights)[RL_NET_HIDDEN], const float *const figures, const int first,
      const int end, RlFour hidden[FOURS])
{
  for (int i = first; i < end; ++i) {
    if (figures[i] == 0) { /* many are */
      continue;
    }
    for (int k = 0; k < FOURS; ++k) {
      hidden[k] += rl_four(figures[i]) * rl_four_at(weights[i] + 4 * k);
    }
  }
}

static inline float
score(const RlFour hidden[FOURS], const float *const out)
{
  RlFour sum = {0};
  for (int k = 0; k < FOURS; ++k) {
    sum += rl_four_max(hidden[k], (RlFour){0}) * rl_four_at(out + 4 * k);
  }
  return rl_four_sum(sum);
}

void
rl_net_candidates(const RlNet *const net, const RlCandidateFigures *const figures, const int count,
                  float *const to)
{
  RlFour shared[FOURS] = {{0}};
  weigh(net->candidate, (const float *)figures, OWN, RL_CANDIDATE_FIGURES, shared);
  for (int i = 0; i < count; ++i) {
    RlFour hidden[FOURS];
    memcpy(hidden, shared, sizeof(hidden));
    weigh(net->candidate, (const float *)(figures + i), 0, OWN, hidden);
    to[i] = score(hidden, net->candidate_out);
  }
}

float
rl_net_nothing(const RlNet *const net, const RlMomentFigures *const figures)
{
  RlFour hidden[FOURS] = {{0}};
  weigh(net->moment, (const float *)figures, 0, RL_MOMENT_FIGURES, hidden);
  return score(hidden, net->moment_out);
}
