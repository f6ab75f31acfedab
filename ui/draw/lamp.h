/* SPDX-License-Identifier: ISC */
/* One lamp of the comb: its glass, the frame of the next chord, the target, the marks of a phrase.
 */
#ifndef RL_UI_DRAW_LAMP_H
#define RL_UI_DRAW_LAMP_H

#include "ui/draw/cells.h"
#include "ui/draw/scene.h"

/** How far the glow of a lamp may reach, from its cell; in units of the layout. */
RlRect rl_lamp_reach(RlRect cell);

/** Draws the glow of a lamp; all glows are drawn before the first lamp. */
void rl_lamp_draw_glow(const RlScene *scene, RlRect at, const RlCell *cell);

/** Draws everything else of a lamp into its cell. */
void rl_lamp_draw(const RlScene *scene, RlRect at, const RlCell *cell);

#endif
