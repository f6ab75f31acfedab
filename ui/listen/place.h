/* SPDX-License-Identifier: ISC */
/* Where on its beats the form lies: a way held against those that lie half a beat to some beats
   away, which much of what is heard fits as well. */
#ifndef RL_UI_LISTEN_PLACE_H
#define RL_UI_LISTEN_PLACE_H

#include "core/ear/path.h"

/** Nepers that chords off the beat must be worth. */
extern const float rl_place_lean_cost;

/** Moves the beats to the likeliest place, each to where something begins. `memory`: that of the
    search, with what was heard. False if memory is wanting. */
bool rl_place_choose(const RlPathSearch *search, void *memory, RlPathBeat *beats, int count);

#endif
