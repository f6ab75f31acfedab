/* SPDX-License-Identifier: ISC */
/* The place that is shown. It is carried on from step to step and yields to the filter's best place
   only after seconds of contradiction; and it says how far it may be believed. */
#ifndef RL_CORE_EAR_KEEPER_H
#define RL_CORE_EAR_KEEPER_H

#include "core/ear/lattice.h"

typedef struct {
  RlPointer shown;
  double    held;                    /**< seconds without a break */
  double    doubt;                   /**< seconds of contradiction */
  double    mass;                    /**< of the filter's weight near the place */
  double    trust;                   /**< mean of mass over 6 s, from 0 at a break */
  RlPointer anchor;                  /**< the last place held for some time, carried on */
  double    anchor_age;              /**< seconds */
  double    versus_any, versus_bars; /**< log Bayes factor over 20 s against free chords, and
                                          against free chords that know the form's and its bars */
  double told;                       /**< seconds for which a person's word still counts */
  double expected;                   /**< seconds for which a place known from before does */
} RlKeeper;

void rl_keeper_init(RlKeeper *keeper);

/** After a step of the lattice. `any`, `bars`: likelihoods of this step's chroma without the form.
 */
void rl_keeper_step(RlKeeper *keeper, RlLattice *lattice, double any, double bars);

/** The probability a second of being anywhere else, for the next step. */
float rl_keeper_jump(const RlKeeper *keeper);

/** Has the filter long been at this place, and do the chords that sound speak for the form? */
bool rl_keeper_settled(const RlKeeper *keeper);

/** The band is likely to be there: believed until what is heard says otherwise. */
void rl_keeper_expect(RlKeeper *keeper, RlPointer place);

/** A person says where the band is. */
void rl_keeper_told(RlKeeper *keeper, RlPointer place);

#endif
