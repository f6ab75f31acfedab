/* SPDX-License-Identifier: ISC */
#include "core/ear/rivals.h"

#include <math.h>
#include <string.h>

static const double off[RL_RIVALS] = {-4,  -3.5, -3, -2.5, -2, -1,  -0.5, 0,
                                      0.5, 1,    2,  2.5,  3,  3.5, 4};
static const double lately_seconds = 20, long_seconds = 60;

void
rl_rivals_forget(RlRivals *const r)
{
  memset(r, 0, sizeof(*r));
}

static void
word_add(RlRivalSums *const s, const int k, const RlWord *const word, const double seconds)
{
  const float keep = (float)(1 - 1 / (seconds * RL_EAR_STEPS));
  s->onset[k]      = s->onset[k] * keep + word->onset;
  s->bass[k]       = s->bass[k] * keep + word->bass;
  for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
    s->chord[k][lean] = s->chord[k][lean] * keep + word->chord[lean];
  }
}

void
rl_rivals_step(RlRivals *const r, const RlLattice *const l, const RlPointer shown,
               const RlEvidence *const evidence)
{
  for (int k = 0; k < RL_RIVALS; ++k) {
    RlPointer place = shown;
    place.at += off[k];
    const RlWord word = rl_lattice_word(l, place, evidence);
    word_add(&r->lately, k, &word, lately_seconds);
    word_add(&r->long_since, k, &word, long_seconds);
  }
}

static float
most_of(const float v[RL_EAR_LEANS])
{
  return fmaxf(v[RL_LEAN_ON], fmaxf(v[RL_LEAN_AHEAD], v[RL_LEAN_BEHIND]));
}

RlMargin
rl_rivals_margin(const RlRivalSums *const s, const int lean, const double from, const double to)
{
  const int   self  = RL_RIVAL_SELF;
  const float other = s->onset[self] + s->bass[self];
  RlMargin    least = {HUGE_VALF, HUGE_VALF};
  for (int k = 0; k < RL_RIVALS; ++k) {
    const float chords = s->chord[self][lean] - most_of(s->chord[k]);
    if (fabs(off[k]) >= from && fabs(off[k]) <= to) {
      least.chords = fminf(least.chords, chords);
      least.all    = fminf(least.all, chords + other - s->onset[k] - s->bass[k]);
    }
  }
  return least;
}
