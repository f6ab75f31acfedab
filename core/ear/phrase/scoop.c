/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/scoop.h"

enum {
  FIRST    = 1, /* frames behind the beginning */
  PAST     = 5,
  PARTIALS = 7,
  LOWEST   = -5, /* thirds of a half step from the pitch: below it */
  HIGHEST  = -2,
  BESIDE   = 1 /* and on it */
};

/* Of what lies below and on the pitch together; tuned on rendered phrases (tests/ear/lift). */
static const float share = 0.53F;

/* Thirds of a half step from a note to its second to eighth partial. */
static const int partial[PARTIALS] = {36, 57, 72, 84, 93, 101, 108};

/* How loud it is on average from one third of a half step to another. */
static float
level_between(const RlLiftSpectra *const s, const int frame, const int pitch, const int from,
              const int to)
{
  const int    first = (pitch + RL_LIFT_LOWEST - RL_LIFT_BIN_LOWEST) * 3;
  const float *level = s->level + (size_t)frame * RL_LIFT_BINS;
  float        sum   = 0;
  for (int h = 0; h < PARTIALS; ++h) {
    for (int d = from; d <= to; ++d) {
      const int bin = first + partial[h] + d;
      sum += bin < RL_LIFT_BINS ? level[bin] : 0;
    }
  }
  return sum / (float)(to - from + 1);
}

bool
rl_lift_scooped(const RlLiftSpectra *const s, const RlLiftSpan *const span)
{
  float below = 0, on = 0;
  for (int t = span->on + FIRST; t < span->on + PAST && t < s->frames; ++t) {
    below += level_between(s, t, span->pitch, LOWEST, HIGHEST);
    on += level_between(s, t, span->pitch, -BESIDE, BESIDE);
  }
  return below > share * (below + on);
}
