/* SPDX-License-Identifier: ISC */
/* Beats of a way through a recording (core/ear/path.h) put where something begins: each is moved by
   up to RL_ALIGN_FAR hops to what looks most like a beat, neighbours by nearly the same. */
#ifndef RL_CORE_EAR_ALIGN_H
#define RL_CORE_EAR_ALIGN_H

#include "core/ear/path.h"

enum { RL_ALIGN_FAR = 10, RL_ALIGN_PLACES = 2 * RL_ALIGN_FAR + 1 };

/** Moves them. `memory`: `count` of RL_ALIGN_PLACES bytes. `hops`: how many were heard. */
void rl_align(const RlPathHop *hop, int hops, RlPathBeat *beats, int count,
              uint8_t (*memory)[RL_ALIGN_PLACES]);

#endif
