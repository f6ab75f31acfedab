/* SPDX-License-Identifier: ISC */
#include "core/ear/rivals.h"

#include <math.h>
#include <string.h>

static const double off[RL_RIVALS] = {-2, -1, -0.5, 0, 0.5, 1, 2};
static const double fade_seconds   = 20;

void
rl_rivals_forget(RlRivals *const r)
{
  memset(r, 0, sizeof(*r));
}

void
rl_rivals_step(RlRivals *const r, const RlLattice *const l, const RlPointer shown,
               const RlEvidence *const evidence)
{
  const float keep = (float)(1 - 1 / (fade_seconds * RL_EAR_STEPS));
  for (int k = 0; k < RL_RIVALS; ++k) {
    RlPointer place = shown;
    place.at += off[k];
    const RlWord word = rl_lattice_word(l, place, evidence);
    r->onset[k]       = r->onset[k] * keep + word.onset;
    r->bass[k]        = r->bass[k] * keep + word.bass;
    for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
      r->chord[k][lean] = r->chord[k][lean] * keep + word.chord[lean];
    }
  }
}

static float
most_of(const float v[RL_EAR_LEANS])
{
  return fmaxf(v[RL_LEAN_ON], fmaxf(v[RL_LEAN_AHEAD], v[RL_LEAN_BEHIND]));
}

RlMargin
rl_rivals_margin(const RlRivals *const r, const int lean, const double beats)
{
  const int   self  = RL_RIVAL_SELF;
  const float other = r->onset[self] + r->bass[self];
  RlMargin    least = {HUGE_VALF, HUGE_VALF};
  for (int k = 0; k < RL_RIVALS; ++k) {
    const float chords = r->chord[self][lean] - most_of(r->chord[k]);
    if (fabs(off[k]) == beats) {
      least.chords = fminf(least.chords, chords);
      least.all    = fminf(least.all, chords + other - r->onset[k] - r->bass[k]);
    }
  }
  return least;
}
