/* SPDX-License-Identifier: ISC */
/* How likely is what was played in one beat, if the beat is divided in one way? The costs are
   our own judgement. */
#include "core/capture/grid.h"

#include <math.h>

static const double stray         = 10; /* no edge costs more than this by where it lies */
static const double crowded_crush = 5;  /* two onsets on one place, the first a crushed note */
static const double crush_ms      = 80; /* a crushed note is shorter */
static const double rest          = 1;  /* that a rest follows */
static const double loose      = 0.03; /* beats of gap: above, notes are let go early in general, */
static const double rest_loose = 1;    /*   and a rest costs so much more, */
static const double short_rest = 2;    /*   and so much again if it is short: */
static const double short_rest_most = 0.3; /* beats */

/* Log-density of the normal distribution, without its constant. */
static double
log_normal(const double off, const double spread)
{
  const double z = off / spread;
  return fmax(-z * z / 2, -stray) - log(spread);
}

/* Log-density of an exponential time of that mean, seen through Gaussian noise of variance `v` (an
   exponentially modified Gaussian). */
static double
log_early(const double early, const double mean, const double v)
{
  const double e = erfc((v / mean - early) / sqrt(2 * v));
  const double l = v / (2 * mean * mean) - early / mean - log(2 * mean);
  return e > 1e-30 ? l + log(e) : -stray - log(v) / 2;
}

const RlGridBeat *
rl_grid_beat(const RlGridTask *const t, const int beat)
{
  return &t->beat[beat < t->beats ? beat : t->beats - 1];
}

RlGridSpot
rl_grid_on_spot(const RlDivision *const d, const RlGridGuess *const g, const double time,
                const double spread)
{
  const int near = rl_division_near(d, g->swing, time);
  return (RlGridSpot){near, log_normal(time - rl_division_at(d, g->swing, near), spread)};
}

RlGridSpot
rl_grid_off_spot(const RlDivision *const d, const RlGridGuess *const g, const double time,
                 const double spread)
{
  const int        near  = rl_division_near(d, g->swing, time);
  const double     early = rl_division_at(d, g->swing, near) - time;
  const RlGridSpot here  = {near, log_early(early, g->gap, spread * spread)};
  if (early > -spread || near == d->parts) {
    return here;
  }
  const double more   = rl_division_at(d, g->swing, near + 1) - time;
  const double likely = log_early(more, g->gap, spread * spread);
  return likely > here.likely ? (RlGridSpot){near + 1, likely} : here;
}

double
rl_grid_rest_cost(const RlGridTask *const t, const RlGridGuess *const g, const int onset)
{
  const bool brief = t->workspace->onset[onset].gap < short_rest_most;
  return rest + (g->gap > loose ? rest_loose + (brief ? short_rest : 0) : 0);
}

/* The noise of two edges adds up. */
void
rl_grid_gaps_weigh(const RlGridTask *const t, const RlGridGuess *const g)
{
  RlGridWorkspace *const w      = t->workspace;
  const double           spread = g->spread_ms / t->ms_per_quarter / t->beat->length;
  for (int i = 0; i < t->onsets; ++i) {
    w->onset[i].joined = w->onset[i].gap < HUGE_VAL
                           ? log_early(w->onset[i].gap, g->gap, 2 * spread * spread)
                           : -HUGE_VAL;
  }
}

RlGridCut
rl_grid_cut_weigh(const RlGridTask *const t, const RlGridGuess *const g, const int beat,
                  const RlDivision *const d)
{
  const RlGridWorkspace *const w      = t->workspace;
  const RlGridBeat *const      b      = rl_grid_beat(t, beat);
  const bool                   swung  = g->swing > 0.5;
  const double                 spread = g->spread_ms / t->ms_per_quarter / b->length;
  const double                 late   = g->behind_ms / t->ms_per_quarter;
  const double                 from   = b->at + (beat < t->beats ? 0 : b->length);
  RlGridCut                    cut    = {0, 0};
  for (int i = w->beat[beat].first; i < w->beat[beat].first + w->beat[beat].count; ++i) {
    const double time  = (w->edge[i].time - late - from) / b->length;
    const int    onset = w->edge[i].at / 2;
    if (w->edge[i].at % 2) {
      const double alone =
        rl_grid_off_spot(d, g, time, spread).likely - rl_grid_rest_cost(t, g, onset);
      cut.likely += fmax(w->onset[onset].joined, alone);
      continue;
    }
    const RlGridSpot on     = rl_grid_on_spot(d, g, time, spread);
    const int        before = onset ? onset - 1 : 0;
    const double     ms     = (w->onset[before].off - w->onset[before].on) * t->ms_per_quarter;
    cut.likely +=
      on.likely - (cut.set >> on.part & 1U ? (ms < crush_ms ? crowded_crush : RL_GRID_CROWDED) : 0);
    cut.set |= 1U << on.part;
  }
  cut.likely -= rl_division_cost(d, cut.set, b->thirds, swung, b->length * t->ms_per_quarter);
  return cut;
}
