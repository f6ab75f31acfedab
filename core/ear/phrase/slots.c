/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/slots.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

enum { CHOICES = 3 * RL_LIFT_TWELFTHS /* the beat of the note, that before and that behind */ };

static const float never = -1e9F, not_rising = -60, farthest = -18, likely_swing = 0.62F,
                   likely_behind = 0.008F;

/* A way through the choices of every note. About 28 KiB. */
typedef struct {
  int32_t base[RL_LIFT_NOTES_MAX]; /* the twelfth of each note's first choice */
  int8_t  from[RL_LIFT_NOTES_MAX][CHOICES];
  float   score[2][CHOICES];
} Way;

/* How well a note fits choice k. */
static float
choice_weigh(const double at, const int32_t base, const int k, const RlLiftPlayed *const played,
             const float beat)
{
  const int     twelfth = k % RL_LIFT_TWELFTHS;
  const int32_t whole   = base / RL_LIFT_TWELFTHS + k / RL_LIFT_TWELFTHS; /* base is a beat */
  const double  place   = whole + (double)rl_lift_place(twelfth, played);
  const float   spread  = rl_lift_spread(twelfth, played, beat) * 0.8F;
  const float   off     = (float)(at - place) * beat / spread;
  return fmaxf(-.5F * off * off, farthest) + logf(rl_lift_usual(twelfth, played, beat)) -
         logf(spread);
}

/* The best choice of the note before, if there is one: rising. */
static float
before_find(Way *const way, const int i, const int k, const float *const score)
{
  float  best = never;
  int8_t from = 0;
  for (int j = 0; j < CHOICES; ++j) {
    const bool  rises = way->base[i] + k > way->base[i - 1] + j;
    const float here  = score[j] + (rises ? 0 : not_rising);
    if (here > best) {
      best = here;
      from = (int8_t)j;
    }
  }
  way->from[i][k] = from;
  return best;
}

/* The best slots under one way to play. Returns their log likelihood. */
static float
slots_find(const RlLiftSpan *const span, const int count, const RlLiftGrid *const grid,
           const RlLiftPlayed *const played, int32_t *const slot)
{
  Way         way;
  const float beat = (float)grid->beat;
  for (int i = 0; i < count; ++i) {
    const double at = (span[i].on * .01 - grid->origin - (double)played->behind) / grid->beat;
    way.base[i]     = ((int32_t)floor(at) - 1) * RL_LIFT_TWELFTHS;
    for (int k = 0; k < CHOICES; ++k) {
      const float before  = i ? before_find(&way, i, k, way.score[(i - 1) & 1]) : 0;
      way.score[i & 1][k] = before + choice_weigh(at, way.base[i], k, played, beat);
    }
  }
  const float *const last = way.score[(count - 1) & 1];
  int                k    = 0;
  for (int j = 1; j < CHOICES; ++j) {
    k = last[j] > last[k] ? j : k;
  }
  const float score = last[k];
  for (int i = count - 1; i >= 0; --i) {
    slot[i] = way.base[i] + k;
    k       = i ? way.from[i][k] : 0;
  }
  return score;
}

RlLiftPlayed
rl_lift_slots(const RlLiftSpan *const span, const int count, const RlLiftGrid *const grid,
              const float spread, int32_t slot[RL_LIFT_NOTES_MAX])
{
  static const float swing[] = {.5F, .55F, .58F, .61F, .64F, .67F, .70F};
  enum { SWINGS = sizeof(swing) / sizeof(*swing), EARLIEST = -2, LATEST = 8 /* of 5 ms */ };
  const int    first = grid->feel == RL_LIFT_SWUNG ? 1 : 0;
  const int    past  = grid->feel == RL_LIFT_STRAIGHT ? 1 : SWINGS;
  RlLiftPlayed best  = {likely_swing, likely_behind, spread};
  float        top   = never;
  int32_t      here[RL_LIFT_NOTES_MAX];
  for (int s = first; s < past; ++s) {
    for (int l = EARLIEST; l <= LATEST; ++l) {
      const RlLiftPlayed played = {swing[s], (float)l * .005F, spread};
      const float        odd    = (played.behind - .01F) / .015F;
      const float        prior  = -.5F * odd * odd + (s ? 0 : .5F);
      const float        score  = slots_find(span, count, grid, &played, here) + prior;
      if (score > top) {
        top  = score;
        best = played;
        memcpy(slot, here, sizeof(*slot) * (size_t)count);
      }
    }
  }
  return best;
}
