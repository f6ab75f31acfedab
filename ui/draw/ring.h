/* SPDX-License-Identifier: ISC */
/* The ring of light round the lamp of a note that the player plays, the needle of a bend on it, and
   the rays of a target that was landed on. */
#ifndef RL_UI_DRAW_RING_H
#define RL_UI_DRAW_RING_H

#include "ui/draw/cells.h"
#include "ui/draw/scene.h"

/** Draws it over the lamp in that cell; no further than rl_lamp_reach(). */
void rl_ring_draw(const RlScene *scene, RlRect at, const RlCell *cell);

/** A number made of all that it looks like; 0: there is none. */
int rl_ring_looks(const RlCell *cell);

#endif
