/* SPDX-License-Identifier: ISC */
/* Where on its beats the form lies: a way held against those that lie half a beat to some beats
   away, which much of what is heard fits as well. */
#ifndef RL_UI_LISTEN_PLACE_H
#define RL_UI_LISTEN_PLACE_H

#include "core/ear/path.h"

/** Nepers that chords off the beat must be worth. */
extern const float rl_place_lean_cost;

/** What somebody said of it. */
typedef struct {
  bool   told;
  double hop; /**< about where the form begins, some time */
} RlWayTold;

/** What speaks for the place found. */
typedef struct {
  double ahead;  /**< nepers more than for the next best; HUGE_VAL: told */
  int    halves; /**< half beats that the form lies later in that one */
} RlWayPlace;

/** Moves the beats to the likeliest place, or the one told, each to where something begins.
    `memory`: that of the search, with what was heard. False if memory is wanting. */
bool rl_place_choose(const RlPathSearch *search, void *memory, const RlWayTold *told,
                     RlPathBeat *beats, int count, RlWayPlace *place);

#endif
