/* SPDX-License-Identifier: ISC */
#include "core/capture/grid.h"

#include <math.h>

static const double near_ms    = 70; /* onsets nearer than this, and than .14 of a quarter */
static const double near_most  = 0.14;
static const double both_least = 0.6; /* of the shorter note: that both sound together */
static const double uneven     = 0.2; /* quarters: where ends differ by more the longest counts */

/* Do two notes begin together? `b` does not begin before `a`. */
static bool
together(const RlGridTask *const t, const RlGridNote *const a, const RlGridNote *const b)
{
  const double near  = fmin(near_ms / t->ms_per_quarter, near_most);
  const double both  = fmin(a->ends, b->ends) - b->at;
  const double least = fmin(a->ends - a->at, b->ends - b->at);
  return b->at - a->at < near && both > both_least * least;
}

static void
notes_join(RlGridTask *const t)
{
  RlGridWorkspace *const w = t->workspace;
  t->onsets                = 0;
  for (int i = 0; i < t->notes;) {
    double on = 0, off = 0, last = -HUGE_VAL, first = HUGE_VAL;
    int    n = 0;
    for (; i + n < t->notes && together(t, &t->note[i], &t->note[i + n]); ++n) {
      on += t->note[i + n].at;
      off += t->note[i + n].ends;
      last  = fmax(last, t->note[i + n].ends);
      first = fmin(first, t->note[i + n].ends);
    }
    w->onset[t->onsets].on      = on / n;
    w->onset[t->onsets].off     = last - first > uneven ? last : off / n;
    w->onset[t->onsets].first   = (int16_t)i;
    w->onset[t->onsets++].count = (int16_t)n;
    i += n;
  }
}

/* Insertion sort: edges come almost in order. */
static void
edges_sort(RlGridTask *const t)
{
  RlGridWorkspace *const w = t->workspace;
  t->edges                 = 0;
  for (int i = 0; i < 2 * t->onsets; ++i) {
    const double time = i % 2 ? w->onset[i / 2].off : w->onset[i / 2].on;
    int          at   = t->edges++;
    for (; at > 0 && w->edge[at - 1].time > time; --at) {
      w->edge[at] = w->edge[at - 1];
    }
    w->edge[at].at   = i;
    w->edge[at].time = time;
  }
}

void
rl_grid_onsets_find(RlGridTask *const t)
{
  RlGridWorkspace *const w = t->workspace;
  notes_join(t);
  edges_sort(t);
  for (int i = 0; i < t->onsets; ++i) {
    w->onset[i].gap =
      i + 1 < t->onsets ? (w->onset[i + 1].on - w->onset[i].off) / t->beat->length : HUGE_VAL;
  }
}
