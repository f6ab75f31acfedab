/* SPDX-License-Identifier: ISC */
#include "plugin/lift/lifting.h"

#include <math.h>
#include <stdlib.h>

static const double before = 1, behind = 0.5; /* seconds around it that help to hear it */

static bool
sound_copy(const RlKept *const k, const int64_t first, RlLifting *const l)
{
  const size_t sides = k->stereo ? 2 : 1;
  l->left            = (float *)malloc(sizeof(float) * sides * (l->samples + 1));
  if (!l->left) {
    return false;
  }
  rl_kept_copy(k, 0, first, l->samples, l->left);
  if (k->stereo) {
    l->right = l->left + l->samples;
    rl_kept_copy(k, 1, first, l->samples, l->right);
  }
  return true;
}

RlLifting *
rl_lifting_cut(const RlKept *const k, const RlKeptPart *const part)
{
  RlLifting *const l = (RlLifting *)calloc(1, sizeof(*l));
  if (!l) {
    return NULL;
  }
  const double  from  = rl_kept_sample(k, &part->run, part->from);
  const double  to    = fmin(rl_kept_sample(k, &part->run, part->to), part->run.to);
  const double  start = ceil(fmax(from - before * RL_LIFT_RATE, part->run.from));
  const double  end   = floor(fmin(to + behind * RL_LIFT_RATE, part->run.to));
  const int64_t first = (int64_t)start;
  l->part             = *part;
  l->samples          = end > start ? (size_t)(end - start) : 0;
  l->first            = fmax(0, from - start) / RL_LIFT_RATE;
  l->past             = (to - start) / RL_LIFT_RATE;
  l->sample           = first + (int64_t)(l->first * RL_LIFT_RATE);
  const size_t steps  = l->samples / RL_LIFTING_STEP + 2;
  l->quarters         = (double *)malloc(steps * sizeof(double));
  if (!l->quarters || !sound_copy(k, first, l)) {
    rl_lifting_free(l);
    return NULL;
  }
  for (size_t i = 0; i < steps; ++i) {
    l->quarters[i] = rl_kept_quarters(k, &part->run, start + (double)i * RL_LIFTING_STEP);
  }
  return l;
}

void
rl_lifting_free(RlLifting *const l)
{
  if (l) {
    free(l->left);
    free(l->quarters);
    free(l->picture);
    free(l);
  }
}
