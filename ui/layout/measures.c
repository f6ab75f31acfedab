/* SPDX-License-Identifier: ISC */
#include "ui/layout/measures.h"

#include <assert.h>

/* w, h, margin, gutter, rail, gap, below, label, value, name, hole, lane, lane_bars */
static const RlMeasures measures[RL_SHAPES] = {
  [RL_SHAPE_FULL]  = {1280, 720, 24, 76, 56, 4, 96, 13, 17, 28, 26, 148, 3},
  [RL_SHAPE_STAGE] = {1280, 720, 16, 80, 60, 4, 16, 15, 17, 28, 34, 172, 3},
  [RL_SHAPE_SMALL] = {480, 320, 8, 32, 26, 2, 50, 11, 13, 16, 16, 74, 2},
  [RL_SHAPE_TALL]  = {360, 740, 10, 12, 36, 2, 296, 12, 14, 20, 18, 104, 2},
};

const RlMeasures *
rl_measures(const RlShape shape)
{
  assert(shape >= 0 && shape < RL_SHAPES);
  return &measures[shape];
}
