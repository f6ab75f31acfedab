/* SPDX-License-Identifier: ISC */
/* Which parts of the window must be drawn again: those pieces of the picture whose looks have
   changed (see rl_draw_pieces()), or everything after an action. */
#ifndef RL_UI_CONTROLLER_REDRAW_H
#define RL_UI_CONTROLLER_REDRAW_H

#include "ui/controller/controller.h"
#include "ui/draw/pieces.h"

typedef struct {
  bool     all;           /**< everything must be drawn */
  int      width, height; /**< of the window when it was last asked for; pixels, 0: never */
  RlLayout layout;        /**< of that time; input is looked up in it */
  int      count;
  RlPiece  piece[RL_PIECES_MAX], before[RL_PIECES_MAX];
} RlRedraw;

/** Writes the parts of a window of that size that must be drawn again, in pixels, into `damage`
    (RL_DAMAGE_MAX); returns how many. */
int rl_redraw_parts(RlController *controller, int width, int height, RlRect *damage);

#endif
