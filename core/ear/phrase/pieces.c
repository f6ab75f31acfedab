/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/pieces.h"

#include <math.h>

enum { HALF = 2, OVERLAP = 2 * HALF /* seconds */ };

RlLiftPiece
rl_lift_piece(const size_t samples, const int whole, const int most, const int index)
{
  const size_t at   = (size_t)index * (size_t)(whole - OVERLAP) * RL_LIFT_RATE;
  const size_t left = samples - at;
  const bool   last = left <= (size_t)most * RL_LIFT_RATE;
  return (RlLiftPiece){.at      = at,
                       .samples = last ? left : (size_t)whole * RL_LIFT_RATE,
                       .first   = index ? HALF : -1,
                       .past    = last ? HUGE_VAL : whole - HALF,
                       .last    = last};
}
