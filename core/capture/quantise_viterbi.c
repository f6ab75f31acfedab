/* SPDX-License-Identifier: ISC */
#include "core/capture/grid.h"

#include <math.h>

/* How likely the best way up to a beat is, by how that beat is divided; and which places of it
   notes begin on, the next beat's first included. */
typedef struct {
  double   likely[RL_DIVISIONS];
  unsigned set[RL_DIVISIONS];
  bool     alone; /* only the first division is possible */
} Ways;

/* Which edges lie in which beat, if all were played that late (in quarters). */
static void
edges_share(const RlGridTask *const t, const double late)
{
  RlGridWorkspace *const w = t->workspace;
  int                    i = 0;
  for (int b = 0; b <= t->beats; ++b) {
    const double end = b < t->beats ? t->beat[b].at + t->beat[b].length : HUGE_VAL;
    w->beat[b].first = (int16_t)i;
    while (i < t->edges && w->edge[i].time - late < end) {
      ++i;
    }
    w->beat[b].count = (int16_t)(i - w->beat[b].first);
  }
}

static int
best_way(const Ways *const ways)
{
  int best = 0;
  for (int k = 1; k < RL_DIVISIONS; ++k) {
    best = ways->likely[k] > ways->likely[best] ? k : best;
  }
  return best;
}

/* A beat without edges is undivided. A long rest is many of them, so this is kept cheap. */
static void
beat_rest(const RlGridTask *const t, const int beat, Ways *const ways)
{
  const int best                   = ways->alone ? 0 : best_way(ways);
  t->workspace->beat[beat].from[0] = (uint8_t)best;
  if (!ways->alone) {
    ways->likely[0] = ways->likely[best];
    for (int k = 1; k < RL_DIVISIONS; ++k) {
      ways->likely[k] = -HUGE_VAL;
    }
  }
  ways->set[0] = 0;
  ways->alone  = true;
}

static void
beat_divide(const RlGridTask *const t, const RlGridGuess *const g, const int beat, Ways *const ways)
{
  const bool dotted = rl_grid_beat(t, beat)->thirds;
  Ways       next   = {.alone = false};
  for (int k = 0; k < RL_DIVISIONS; ++k) {
    next.likely[k] = -HUGE_VAL;
    if (!rl_division_may(&rl_divisions[k], dotted, g->swing > 0.5)) {
      continue;
    }
    const RlGridCut cut = rl_grid_cut_weigh(t, g, beat, &rl_divisions[k]);
    for (int j = 0; j < (ways->alone ? 1 : RL_DIVISIONS); ++j) {
      const bool   twice = ways->set[j] >> rl_divisions[j].parts & cut.set & 1U;
      const double on    = ways->likely[j] - (twice ? RL_GRID_CROWDED : 0) +
                        rl_division_after(j, ways->set[j], k, cut.set, dotted);
      if (on > next.likely[k]) {
        next.likely[k]                   = on;
        t->workspace->beat[beat].from[k] = (uint8_t)j;
      }
    }
    next.likely[k] += cut.likely;
    next.set[k] = cut.set;
  }
  *ways = next;
}

double
rl_grid_beats_divide(const RlGridTask *const t, const RlGridGuess *const g)
{
  Ways ways = {.alone = true};
  edges_share(t, g->behind_ms / t->ms_per_quarter);
  for (int b = 0; b <= t->beats; ++b) {
    if (t->workspace->beat[b].count) {
      beat_divide(t, g, b, &ways);
    } else {
      beat_rest(t, b, &ways);
    }
  }
  t->workspace->last = (uint8_t)best_way(&ways);
  return ways.likely[t->workspace->last];
}

void
rl_grid_backtrack(const RlGridTask *const t)
{
  RlGridWorkspace *const w = t->workspace;
  int                    k = w->last;
  for (int b = t->beats; b >= 0; --b) {
    w->division[b] = (uint8_t)k;
    k              = w->beat[b].from[k];
  }
}
