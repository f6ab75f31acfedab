/* SPDX-License-Identifier: ISC */
#include "core/ear/align.h"

#include "core/ear/learned.h"

#include <math.h>
#include <string.h>

enum { AROUND = 4 /* beats on each side that smooth a beat */ };

static const float share = 0.35F; /* of a hop's word: neighbouring hops say the same */
static const float width = 0.7F;  /* hops that a beat may be moved further than the one before */

/* The straight line through a beat's neighbours, at the beat. */
static double
smoothed(const RlPathBeat *const beats, const int count, const int at)
{
  double n = 0, x = 0, y = 0, xx = 0, xy = 0;
  int    from = at, to = at;
  while (from > 0 && from > at - AROUND && !beats[from].entered) {
    --from;
  }
  while (to + 1 < count && to < at + AROUND && !beats[to + 1].entered) {
    ++to;
  }
  for (int i = from; i <= to; ++i) {
    n += 1;
    x += i - at;
    y += beats[i].hop;
    xx += (double)(i - at) * (i - at);
    xy += (i - at) * beats[i].hop;
  }
  const double spread = n * xx - x * x;
  return spread > 0 ? (y * xx - x * xy) / spread : beats[at].hop;
}

/* All of them; what is needed unsmoothed is kept until then. */
static void
smooth(RlPathBeat *const beats, const int count)
{
  double past[AROUND + 1];
  for (int i = 0; i < count + AROUND; ++i) {
    if (i >= AROUND) {
      beats[i - AROUND].hop = past[(i - AROUND) % (AROUND + 1)];
    }
    if (i < count) {
      past[i % (AROUND + 1)] = smoothed(beats, count, i);
    }
  }
}

static float
place_worth(const RlPathHop *const hop, const int hops, const int at)
{
  float sum = 0;
  for (int k = 0; k < RL_BEAT_HOPS; ++k) {
    const int h = at + k - RL_BEAT_HOPS / 2;
    if (h >= 0 && h < hops) {
      sum += share * (0.1F * (float)rl_learned_tenths(rl_learned_beats[k][hop[h].symbol]));
    }
  }
  return sum;
}

/* From which place before each place is best reached. */
static void
places_weigh(const float before[RL_ALIGN_PLACES], const bool entered, float now[RL_ALIGN_PLACES],
             uint8_t from[RL_ALIGN_PLACES])
{
  for (int d = 0; d < RL_ALIGN_PLACES; ++d) {
    float most = -HUGE_VALF;
    for (int e = 0; e < RL_ALIGN_PLACES; ++e) {
      const float off  = entered ? 0 : (float)(d - e) / width;
      const float here = before[e] - 0.5F * off * off;
      from[d]          = here > most ? (uint8_t)e : from[d];
      most             = here > most ? here : most;
    }
    now[d] += most;
  }
}

void
rl_align(const RlPathHop *const hop, const int hops, RlPathBeat *const beats, const int count,
         uint8_t (*const memory)[RL_ALIGN_PLACES])
{
  float before[RL_ALIGN_PLACES] = {0}, now[RL_ALIGN_PLACES];
  int   best                    = 0;
  smooth(beats, count);
  for (int i = 0; i < count; ++i) {
    for (int d = 0; d < RL_ALIGN_PLACES; ++d) {
      now[d] = place_worth(hop, hops, (int)lround(beats[i].hop) + d - RL_ALIGN_FAR);
    }
    places_weigh(before, beats[i].entered, now, memory[i]);
    memcpy(before, now, sizeof(before));
  }
  for (int d = 1; d < RL_ALIGN_PLACES; ++d) {
    best = before[d] > before[best] ? d : best;
  }
  for (int i = count - 1; i >= 0; --i) {
    beats[i].hop = (double)lround(beats[i].hop) + best - RL_ALIGN_FAR;
    best         = memory[i][best];
  }
  smooth(beats, count);
}
