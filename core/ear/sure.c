/* SPDX-License-Identifier: ISC */
#include "core/ear/sure.h"

#include <math.h>

float
rl_sure(const float figure[RL_FIGURES])
{
  float odds[RL_DOUBTS], right = 1;
  for (int d = 0; d < RL_DOUBTS; ++d) {
    odds[d] = rl_learned_sure.plus[d];
  }
  for (int i = 0; i < rl_learned_sure.pieces; ++i) {
    const RlSurePiece *const p = &rl_learned_sure.piece[i];
    odds[p->doubt] +=
      p->weight * fminf(fmaxf((figure[p->figure] - p->from) / (p->to - p->from), 0), 1);
  }
  for (int d = 0; d < RL_DOUBTS; ++d) {
    right /= 1 + expf(-odds[d]);
  }
  return right;
}
