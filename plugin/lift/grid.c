/* SPDX-License-Identifier: ISC */
#include "plugin/lift/grid.h"

#include "core/ear/phrase/over.h"
#include "core/meter/meter.h"

#include <math.h>

static const double slack = 1e-4;  /* quarters */
static const double even  = 0.035; /* seconds: further off its place a beat is on no grid */

double
rl_lifting_quarters(const RlLifting *const l, const double second)
{
  const double at   = second * RL_LIFT_RATE / RL_LIFTING_STEP;
  const size_t last = l->samples / RL_LIFTING_STEP;
  const double low  = fmin(fmax(floor(at), 0), (double)last);
  const size_t n    = (size_t)low;
  return l->quarters[n] + (at - low) * (l->quarters[n + 1] - l->quarters[n]);
}

/* The second at which the clip is at so many quarters. */
static double
second_of(const RlLifting *const l, const double quarters)
{
  const size_t last = l->samples / RL_LIFTING_STEP;
  size_t       n    = 0;
  while (n < last && l->quarters[n + 1] <= quarters) {
    ++n;
  }
  const double step = l->quarters[n + 1] - l->quarters[n];
  const double part = step > 0 ? (quarters - l->quarters[n]) / step : 0;
  return ((double)n + part) * RL_LIFTING_STEP / RL_LIFT_RATE;
}

/* Felt beats from a bar line on. */
typedef struct {
  int    count;
  double second[RL_LIFT_GRID_BEATS];
} Beats;

static void
beats_fill(const RlLifting *const l, const double from, const double to, uint16_t *const scale,
           Beats *const beats)
{
  const double  first = rl_lifting_quarters(l, from), past = rl_lifting_quarters(l, to);
  const RlPlace here = rl_form_locate(&l->form, RL_AXIS_QUARTERS, first, slack);
  double        at   = first - (here.unit > 0 ? here.beat * 4 / here.unit : 0);
  beats->count       = 0;
  while (at < past && beats->count < RL_LIFT_GRID_BEATS) {
    const RlPlace place           = rl_form_locate(&l->form, RL_AXIS_QUARTERS, at, slack);
    const double  bar             = place.unit > 0 ? place.beats * 4.0 / place.unit : 4;
    const double  felt            = place.unit > 0 ? rl_meter_felt(place.beats, place.unit) : 4;
    scale[beats->count]           = rl_lift_over(&l->form, &place, l->key);
    beats->second[beats->count++] = second_of(l, at) - from;
    at += bar / felt;
  }
}

/* The straight line through all beats; false where one lies off it. */
static bool
line_fit(const Beats *const b, double *const beat, double *const origin)
{
  double n = b->count, i = 0, t = 0, ii = 0, it = 0, most = 0;
  for (int k = 0; k < b->count; ++k) {
    i += k;
    t += b->second[k];
    ii += (double)k * k;
    it += k * b->second[k];
  }
  const double under = n * ii - i * i;
  *beat              = under > 0 ? (n * it - i * t) / under : 0;
  *origin            = (t - *beat * i) / fmax(n, 1);
  for (int k = 0; k < b->count; ++k) {
    most = fmax(most, fabs(*origin + *beat * k - b->second[k]));
  }
  return b->count > 1 && *beat > 0 && most < even;
}

void
rl_lifting_grid(const RlLifting *const l, const double from, const double to,
                uint16_t scale[RL_LIFT_GRID_BEATS], RlLiftGrid *const grid)
{
  Beats beats;
  *grid = (RlLiftGrid){.scale = scale, .feel = rl_lift_feel(&l->form)};
  beats_fill(l, from, to, scale, &beats);
  if (line_fit(&beats, &grid->beat, &grid->origin)) {
    grid->beats = beats.count;
  } else {
    grid->beat  = 0;
    grid->beats = 1;
    scale[0]    = rl_lift_over_key(l->key);
  }
}
