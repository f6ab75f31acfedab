/* SPDX-License-Identifier: ISC */
#include "ui/layout/comb_extent.h"

#include <assert.h>

int
rl_comb_level(const RlTechnique technique)
{
  const bool over = technique == RL_OVERBLOW || technique == RL_OVERDRAW;
  return over ? 1 : rl_technique_bend(technique);
}

bool
rl_comb_shows(const RlHarp *const harp, const RlPlayer player, const int hole,
              const RlTechnique technique)
{
  assert(hole >= 1 && hole <= RL_HOLES);
  const bool over = technique == RL_OVERBLOW || technique == RL_OVERDRAW;
  return harp->note[hole - 1][technique] && (!over || player.overblows);
}

/* Rows of a hole beyond its blow (or draw) lamp. */
static int
rows_beyond(const RlHarp *const harp, const RlPlayer player, const int hole, const bool draws)
{
  int most = 0;
  for (int how = 0; how < RL_TECHNIQUES; ++how) {
    const int level = rl_comb_level((RlTechnique)how);
    if (rl_technique_draws((RlTechnique)how) == draws && level > most &&
        rl_comb_shows(harp, player, hole, (RlTechnique)how)) {
      most = level;
    }
  }
  return most;
}

static int
largest(const int *const values, const int count)
{
  int most = 0;
  for (int i = 0; i < count; ++i) {
    most = values[i] > most ? values[i] : most;
  }
  return most;
}

RlCombExtent
rl_comb_extent(const RlHarp *const harp, const RlPlayer player)
{
  enum { CORNER_ROWS = 2, NOW_HOLES = 6, NEXT_HOLES = 4 };
  RlCombExtent t;
  for (int hole = 1; hole <= RL_HOLES; ++hole) {
    t.beyond[0][hole - 1] = rows_beyond(harp, player, hole, false);
    t.beyond[1][hole - 1] = rows_beyond(harp, player, hole, true);
  }
  const int *const above = t.beyond[0];
  const int *const below = t.beyond[1];
  const int        now   = largest(above, NOW_HOLES);
  const int        next  = largest(below + RL_HOLES - NEXT_HOLES, NEXT_HOLES);
  const int        up    = largest(above, RL_HOLES);
  const int        down  = largest(below, RL_HOLES);
  t.rows[0]              = up > now + CORNER_ROWS ? up : now + CORNER_ROWS;
  t.rows[1]              = down > next + CORNER_ROWS ? down : next + CORNER_ROWS;
  t.low                  = NOW_HOLES;
  t.high                 = RL_HOLES - NEXT_HOLES + 1;
  while (t.high > 1 && below[t.high - 2] <= t.rows[1] - CORNER_ROWS) {
    --t.high;
  }
  t.now_rows  = t.rows[0] - now;
  t.next_rows = t.rows[1] - largest(below + t.high - 1, RL_HOLES - t.high + 1);
  return t;
}
