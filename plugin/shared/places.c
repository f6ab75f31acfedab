/* SPDX-License-Identifier: ISC */
#include "plugin/shared/places.h"

#include <math.h>

/* A place in one word: which half second of the song, from 1 (20 bits); felt beats there (28 bits,
   4096 to a beat); tempo (16 bits, 128 to a beat a minute). */
enum {
  MARK_BITS   = 20,
  FELT_BITS   = 28,
  TEMPO_BITS  = 16,
  FELT_PARTS  = 4096,
  TEMPO_PARTS = 128,
  FELT_MOST   = 65535,
  TEMPO_MOST  = 511
};

/* What is reckoned back to a song's start may come out so many felt beats before bar 1, and is
 * bar 1.
 */
static const double start_slack = 0.25;

static uint64_t
word_of(const uint64_t mark, const RlFeltPlace p)
{
  return mark << (FELT_BITS + TEMPO_BITS) | (uint64_t)llround(p.felt * FELT_PARTS) << TEMPO_BITS |
         (uint64_t)llround(p.tempo * TEMPO_PARTS);
}

static bool
fits(const RlFeltPlace p)
{
  return p.felt >= 0 && p.felt < FELT_MOST && p.tempo >= 1 && p.tempo < TEMPO_MOST;
}

/* Which half second a frame lies in, from 1, and the frame it begins at; 0: in none that is kept.
 */
static uint64_t
mark_of(const double rate, const int64_t song, double *const begins)
{
  const double step = rate / RL_PLACES_EACH, n = floor((double)song / step);
  *begins = n * step;
  return n >= 0 && n + 1 < (1 << MARK_BITS) ? (uint64_t)n + 1 : 0;
}

static RlFeltPlace
moved(const RlFeltPlace p, const double rate, const double frames)
{
  const double felt = p.felt + frames / rate * p.tempo / 60;
  return (RlFeltPlace){felt < 0 && felt > -start_slack ? 0 : felt, p.tempo};
}

void
rl_places_keep(RlPlaces *const places, const double rate, const int64_t song, const RlFeltPlace at)
{
  double            begins;
  const uint64_t    mark  = mark_of(rate, song, &begins);
  const RlFeltPlace there = moved(at, rate, begins - (double)song);
  if (mark && fits(there)) {
    atomic_store_explicit(&places->place[mark % RL_PLACES], word_of(mark, there),
                          memory_order_relaxed);
  }
}

bool
rl_places_find(const RlPlaces *const places, const double rate, const int64_t song,
               RlFeltPlace *const place)
{
  double         begins;
  const uint64_t mark = mark_of(rate, song, &begins);
  for (int k = 0; mark && k < 3; ++k) { /* this half second, the next, the one before */
    const int      by   = k == 2 ? -1 : k;
    const uint64_t want = mark + (uint64_t)(int64_t)by;
    const uint64_t word =
      atomic_load_explicit(&places->place[want % RL_PLACES], memory_order_relaxed);
    if (want && word >> (FELT_BITS + TEMPO_BITS) == want) {
      const RlFeltPlace kept = {(double)(word >> TEMPO_BITS & ((1U << FELT_BITS) - 1)) / FELT_PARTS,
                                (double)(word & ((1U << TEMPO_BITS) - 1)) / TEMPO_PARTS};
      *place = moved(kept, rate, (double)song - begins - by * rate / RL_PLACES_EACH);
      return place->felt >= 0;
    }
  }
  return false;
}

void
rl_places_forget(RlPlaces *const places)
{
  for (int i = 0; i < RL_PLACES; ++i) {
    atomic_store_explicit(&places->place[i], 0, memory_order_relaxed);
  }
}
