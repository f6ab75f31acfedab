/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/beat.h"

#include "core/ear/phrase/line.h"

#include <math.h>

enum { PHASES = 48, TEMPI = 120 };

static const double denser  = 0.35; /* a slow beat holds more notes: tuned */
static const double slowest = 0.92, /* seconds a beat: 65 a minute; 210 is the fastest */
  usual = 0.5, octaves = 0.45;      /* the usual beat, and the deviation from it: common practice */

/* How much better the notes lie on twelfths than anywhere. */
static double
grid_weigh(const RlLifted *const l, const double beat, const double origin)
{
  static const RlLiftPlayed ways[] = {{.5F, .008F, .02F}, {.6F, .008F, .02F}, {.667F, .008F, .02F}};
  enum { WAYS = sizeof(ways) / sizeof(*ways) };
  double best = -HUGE_VAL;
  for (int w = 0; w < WAYS; ++w) {
    double sum = 0;
    for (int i = 0; i < l->notes; ++i) {
      sum += (double)rl_lift_on_grid((double)l->note[i].on - origin, (float)beat, &ways[w]) -
             denser * log(beat);
    }
    best = sum > best ? sum : best;
  }
  const double away = log2(beat / usual) / octaves;
  return best - 0.5 * away * away;
}

/* The best phase for a beat. */
static double
phase_find(const RlLifted *const l, const double beat, double *const origin)
{
  double best = -HUGE_VAL;
  for (int k = 0; k < PHASES; ++k) {
    const double at    = (double)l->note[0].on + beat * k / PHASES;
    const double score = grid_weigh(l, beat, at);
    if (score > best) {
      best    = score;
      *origin = at;
    }
  }
  return best;
}

/* Tries `count` beats from `first` on, each `factor` times the last. */
static void
beats_try(const RlLifted *const l, const double first, const double factor, const int count,
          const bool has_origin, double *const beat, double *const origin)
{
  double best = -HUGE_VAL, here = first;
  for (int k = 0; k < count; ++k, here *= factor) {
    double       at    = *origin;
    const double score = has_origin ? grid_weigh(l, here, at) : phase_find(l, here, &at);
    if (score > best) {
      best    = score;
      *beat   = here;
      *origin = has_origin ? *origin : at;
    }
  }
}

bool
rl_lift_beat(const RlLifted *const l, double *const beat, const bool has_origin,
             double *const origin)
{
  if (l->notes < 1) {
    return false;
  }
  if (*beat > 0) {
    if (!has_origin) {
      phase_find(l, *beat, origin);
    }
    return true;
  }
  beats_try(l, slowest, 0.99, TEMPI, has_origin, beat, origin);
  beats_try(l, *beat * 1.008, 0.998, 9, has_origin, beat, origin);
  return true;
}
