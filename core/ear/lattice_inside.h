/* SPDX-License-Identifier: ISC */
/* How the lattice's rows lie in memory; for its own files. */
#ifndef RL_CORE_EAR_LATTICE_INSIDE_H
#define RL_CORE_EAR_LATTICE_INSIDE_H

#include "core/ear/four.h"
#include "core/ear/lattice.h"

/** The index of a lean and beat; times tempi plus a tempo, of a row. */
static inline int
rl_lattice_group(const RlLattice *const l, const int lean, const int beat)
{
  return lean * l->beats + beat;
}

/** What flows into the rows of a group, by tempo. */
static inline float *
rl_lattice_inflow(const RlLattice *const l, const int group)
{
  return l->inflow + (size_t)group * (size_t)(l->tempi + RL_LATTICE_REACH) + RL_LATTICE_SPREAD;
}

static inline float *
rl_lattice_row(const RlLattice *const l, const int lean, const int tempo, const int beat)
{
  return l->p + (size_t)lean * (size_t)l->cells + l->offset[tempo * l->beats + beat];
}

/** Moves every row one cell on and weighs it; what flows in over the beat lines is in l->inflow. */
void rl_lattice_advance(RlLattice *lattice, const RlEvidence *evidence);

#endif
