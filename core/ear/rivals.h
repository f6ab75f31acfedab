/* SPDX-License-Identifier: ISC */
/* What the last 20 s says for the place that is shown, and what for the places it is easily
   taken for: half a beat, a beat and two beats away. The lattice drops what it holds
   for hopeless; these are kept for as long as the place is, so that it can be told how clear the
   case is. */
#ifndef RL_CORE_EAR_RIVALS_H
#define RL_CORE_EAR_RIVALS_H

#include "core/ear/lattice.h"

enum { RL_RIVALS = 7, RL_RIVAL_SELF = 3 };

/** Nepers, fading over 20 s. */
typedef struct {
  float onset[RL_RIVALS], bass[RL_RIVALS], chord[RL_RIVALS][RL_EAR_LEANS];
} RlRivals;

/** How much clearer than the clearer one of the two rivals at a distance, in nepers: of all that is
    heard, and of the chords alone. Negative: a rival is clearer. */
typedef struct {
  float all, chords;
} RlMargin;

void rl_rivals_forget(RlRivals *rivals);

/** After a step of the lattice, which was given `evidence`. */
void rl_rivals_step(RlRivals *rivals, const RlLattice *lattice, RlPointer shown,
                    const RlEvidence *evidence);

/** `beats` away, before or after: 0.5, 1 or 2. `lean`: the one of the place that is shown. */
RlMargin rl_rivals_margin(const RlRivals *rivals, int lean, double beats);

#endif
