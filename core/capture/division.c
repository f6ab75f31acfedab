/* SPDX-License-Identifier: ISC */
#include "core/capture/division.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

enum { PLAIN = 1, DOTTED = 2 }; /* sets of beats */

/* Indexed by the set of parts that notes begin on: bit 0 is the beginning of the beat. */
static const double eighth_patterns[4]     = {0, 0, 0.3, 0};
static const double triplet_patterns[8]    = {0, 1, 2.5, 1, 2.5, 1.5, 0.7, 0};
static const double sixteenth_patterns[16] = {0,   1,   3, 1.5, 1,   1, 2,   0.3,
                                              1.5, 0.5, 3, 1.5, 0.7, 0, 0.7, 0};

/* Parts, beats, swings, cost, cost in swing, patterns. */
const RlDivision rl_divisions[] = {
  {1, PLAIN | DOTTED, false, 0, 0, NULL},
  {2, PLAIN, true, 0.2, 0.2, eighth_patterns},
  {3, PLAIN | DOTTED, false, 1.2, 1.2, triplet_patterns},
  {4, PLAIN, true, 1.2, 2.2, sixteenth_patterns},
  {4, PLAIN | DOTTED, false, 3, 3, sixteenth_patterns},
  {6, PLAIN | DOTTED, false, 4, 4, NULL},
  {12, PLAIN | DOTTED, false, 8, 8, NULL},
};

_Static_assert(sizeof(rl_divisions) / sizeof(rl_divisions[0]) == RL_DIVISIONS, "one row each");

/* Where notes swing, a triplet without its middle is rather a pair of swung eighths. */
static const double swung_pair = 2;

/* Gains: a triplet over two beats (see rl_division_after()), and divisions of a dotted beat. Four
   in a dotted beat are rarer. */
static const double two_beats       = 6;
static const double dotted_thirds   = 1.1;
static const double dotted_sixths   = 2.5;
static const double dotted_quarters = -0.5;
static const double same_again      = 0.5; /* the beat before is divided the same way */

/* A fine division costs this for each note fewer than two on the places that only it has. */
static const double lonely = 1.5;

/* A part of a beat shorter than quick_ms costs 1 for every quick_step_ms less. */
static const double quick_ms      = 110;
static const double quick_step_ms = 20;

/* Sixteenths stand twice in the table: with swing for plain beats, and even ones, which in straight
   time would be the same. */
bool
rl_division_may(const RlDivision *const d, const bool dotted, const bool swung)
{
  return (d->beats & (dotted ? DOTTED : PLAIN)) && (dotted || swung || d->swings || d->parts != 4);
}

double
rl_division_at(const RlDivision *const d, const double swing, const int part)
{
  assert(part >= 0 && part <= d->parts && swing > 0 && swing < 1);
  const double at = (double)part / d->parts;
  return !d->swings ? at : at < 0.5 ? 2 * swing * at : swing + (2 * at - 1) * (1 - swing);
}

int
rl_division_near(const RlDivision *const d, const double swing, const double time)
{
  const double even = !d->swings     ? time
                      : time < swing ? time / (2 * swing)
                                     : 0.5 + (time - swing) / (2 * (1 - swing));
  const double down = fmin(fmax(floor(even * d->parts), 0), d->parts - 1);
  const int    part = (int)down;
  const bool   next =
    rl_division_at(d, swing, part + 1) - time < time - rl_division_at(d, swing, part);
  return part + next;
}

static int
bits(unsigned set)
{
  int n = 0;
  for (; set; set &= set - 1) {
    ++n;
  }
  return n;
}

static double
pattern_cost(const RlDivision *const d, const bool dotted, const bool swung, const unsigned set)
{
  const unsigned begun = set & ((1U << d->parts) - 1);
  if (d->parts == 3) {
    const bool pair = swung && !(begun & 2U);
    return dotted ? 0 : d->pattern[begun] + (pair ? swung_pair : 0);
  }
  if (d->pattern) {
    return d->pattern[begun];
  }
  const unsigned fine = d->parts == 6 ? 0x2AU : d->parts == 12 ? 0xAAAU : 0;
  return fine ? lonely * (bits(begun & fine) < 2 ? 2 - bits(begun & fine) : 0) : 0;
}

static double
own_cost(const RlDivision *const d, const bool dotted, const bool swung, const double ms)
{
  const double quick = fmax(0, quick_ms - ms / d->parts) / quick_step_ms;
  const double plain = swung ? d->swung : d->cost;
  const double less  = !dotted         ? 0
                       : d->parts == 3 ? dotted_thirds
                       : d->parts == 6 ? dotted_sixths
                       : d->parts == 4 ? dotted_quarters
                                       : 0;
  return plain - less + quick;
}

double
rl_division_cost(const RlDivision *const d, const unsigned set, const bool dotted, const bool swung,
                 const double ms)
{
  return pattern_cost(d, dotted, swung, set) + own_cost(d, dotted, swung, ms);
}

/* Three notes over two beats begin on parts 0 and 2 of the first triplet and 1 of the second. The
   first may have come early, so that it counts for the beat before: bit 0 is not asked for. */
double
rl_division_after(const int before, const unsigned set_before, const int after, const unsigned set,
                  const bool dotted)
{
  assert(before >= 0 && before < RL_DIVISIONS && after >= 0 && after < RL_DIVISIONS);
  const bool     same = before == after && after > 1;
  const unsigned was  = set_before & ~1U;
  const bool     over =
    same && !dotted && rl_divisions[after].parts == 3 && was == 4 && (set & 7U) == 2;
  return (same ? same_again : 0) + (over ? two_beats : 0);
}
