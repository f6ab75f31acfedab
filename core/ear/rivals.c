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

RlMargins
rl_rivals_margins(const RlRivals *const r, const int lean)
{
  const float own = r->chord[RL_RIVAL_SELF][lean], hits = r->onset[RL_RIVAL_SELF];
  RlMargins   m = {1e9F, 1e9F, 1e9F};
  for (int k = 0; k < RL_RIVALS; ++k) {
    const float chords = own - most_of(r->chord[k]), all = chords + hits - r->onset[k];
    if (off[k] != floor(off[k])) {
      m.half = fminf(m.half, all);
    } else if (k != RL_RIVAL_SELF) {
      m.whole  = fminf(m.whole, all);
      m.chords = fminf(m.chords, chords);
    }
  }
  return m;
}
