/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/glide.h"

#include <math.h>

enum {
  FIRST    = 1, /* frames behind the beginning */
  PAST     = 5,
  PARTIALS = 7,
  LOWEST   = -5, /* thirds of a half step from the pitch: below it */
  HIGHEST  = -2,
  BESIDE   = 1,  /* and on it */
  SETTLED  = 3,  /* frames until a note has its pitch */
  LONG     = 8,  /* frames of a note before it may fall */
  BEFORE   = 22, /* frames before its end and behind it in which it may fall */
  BEHIND   = 16,
  FAR      = 5, /* thirds of a half step down to which the next place is looked for, */
  STEP     = 2, /* to which it may be in a frame: another note is further away, */
  DEEP     = -4 /* and that a fall reaches */
};

/* Of the note's own level: what is weaker has died away. */
static const float rings = 0.25F;

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

/* ---- its end ---- */

/* The strongest third of a half step from `from` up to `to`, and how strong. */
static int
strongest(const RlLiftSpectra *const s, const int frame, const int pitch, const int from,
          const int to, float *const strength)
{
  int at    = from;
  *strength = 0;
  for (int d = from; d <= to; ++d) {
    const float level = level_between(s, frame, pitch, d, d);
    at                = level > *strength ? d : at;
    *strength         = fmaxf(*strength, level);
  }
  return at;
}

/* How strong it was before frame `until`, on average. */
static float
held_level(const RlLiftSpectra *const s, const RlLiftSpan *const span, const int until)
{
  const int from = span->on + SETTLED;
  float     sum  = 0;
  for (int t = from; t < until; ++t) {
    float strength;
    strongest(s, t, span->pitch, -BESIDE, BESIDE, &strength);
    sum += strength;
  }
  return until > from ? sum / (float)(until - from) : 0;
}

int
rl_lift_fall(const RlLiftSpectra *const s, const RlLiftSpan *const span, const int until)
{
  const int   last  = span->off + BEHIND < until ? span->off + BEHIND : until;
  const int   from  = span->off - BEFORE > span->on + LONG ? span->off - BEFORE : span->on + LONG;
  const float held  = held_level(s, span, from);
  int         place = 0, t = from;
  for (; t < last && t < s->frames && held > 0; ++t) {
    float     strength;
    const int next = strongest(s, t, span->pitch, place - FAR, place + 1, &strength);
    if (next < place - STEP || strength < rings * held) {
      break;
    }
    place = next;
  }
  return place <= DEEP ? t : 0;
}
