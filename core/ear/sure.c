/* SPDX-License-Identifier: ISC */
#include "core/ear/sure.h"

#include <math.h>

float
rl_sure(const float figure[RL_FIGURES])
{
  float odds = rl_learned_sure.plus;
  for (int i = 0; i < rl_learned_sure.pieces; ++i) {
    const RlSurePiece *const p = &rl_learned_sure.piece[i];
    odds += p->weight * fminf(fmaxf((figure[p->figure] - p->from) / (p->to - p->from), 0), 1);
  }
  return 1 / (1 + expf(-odds));
}
