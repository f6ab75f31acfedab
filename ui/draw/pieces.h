/* SPDX-License-Identifier: ISC */
/* What changes between two frames. Every piece of the picture has a number made of all that its
   looks depend on (a hash): a piece whose number has changed must be drawn again. Something new in
   the picture needs its part here. */
#ifndef RL_UI_DRAW_PIECES_H
#define RL_UI_DRAW_PIECES_H

#include "ui/layout/layout.h"

typedef struct {
  RlRect   at;    /**< in pixels, everything that it draws included */
  uint32_t looks; /**< a hash (FNV-1a) */
} RlPiece;

enum { RL_PIECES_MAX = 512 };

/** Writes the pieces of a picture; always the same ones in the same order for the same layout.
    Returns how many. */
int rl_draw_pieces(const RlView *view, const RlLayout *layout, RlPiece pieces[RL_PIECES_MAX]);

#endif
