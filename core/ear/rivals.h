/* SPDX-License-Identifier: ISC */
/* What is heard speaks for the place that is shown, and for those it is easily taken for, up to
   four beats away. The lattice drops what it holds for hopeless; these are kept for as long as the
   place is, so that it can be told how clear the case is. */
#ifndef RL_CORE_EAR_RIVALS_H
#define RL_CORE_EAR_RIVALS_H

#include "core/ear/lattice.h"

enum { RL_RIVALS = 15, RL_RIVAL_SELF = 7 };

/** Sums of nepers that fade. */
typedef struct {
  float onset[RL_RIVALS], bass[RL_RIVALS], chord[RL_RIVALS][RL_EAR_LEANS];
} RlRivalSums;

typedef struct {
  RlRivalSums lately, long_since; /**< fading over 20 s, and over 60 */
} RlRivals;

/** How much clearer than the clearest of some rivals, in nepers: of all that is heard, and of the
    chords alone. Negative: a rival is clearer. */
typedef struct {
  float all, chords;
} RlMargin;

void rl_rivals_forget(RlRivals *rivals);

/** After a step of the lattice, which was given `evidence`. */
void rl_rivals_step(RlRivals *rivals, const RlLattice *lattice, RlPointer shown,
                    const RlEvidence *evidence);

/** Those `from` to `to` beats away, before or after: 0.5, 1, or 2 to 4. `lean`: the one of the
   place that is shown. */
RlMargin rl_rivals_margin(const RlRivalSums *sums, int lean, double from, double to);

#endif
