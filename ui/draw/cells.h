/* SPDX-License-Identifier: ISC */
/* What each lamp of the comb shows, worked out from the view. Pure. */
#ifndef RL_UI_DRAW_CELLS_H
#define RL_UI_DRAW_CELLS_H

#include "ui/model/view.h"

/** How a note of the plan concerns a lamp. */
typedef enum {
  RL_MARK_NONE,
  RL_MARK_SOON,  /**< it begins in the next bar */
  RL_MARK_NOW,   /**< it begins in this bar */
  RL_MARK_SOUNDS /**< it should sound now */
} RlPhraseMark;

/** One lamp. */
typedef struct {
  bool     shown;       /**< the harp has this note on the comb */
  bool     reached;     /**< the player can play it */
  RlWorth  now, before; /**< against the chord that sounds, and the one it fades from */
  bool     comes;       /**< a tone of the next chord */
  bool     target;      /**< the note to land on when the next chord comes */
  uint8_t  phrase;      /**< RlPhraseMark */
  RlDegree next;        /**< against the next chord */
  uint8_t  note;        /**< MIDI note number */
  bool     heard;       /**< the player plays it */
  bool     held;        /**< bent, and held: then so many cents off */
  int      off;
  bool     landed; /**< a target, landed on just now */
} RlCell;

typedef struct {
  RlCell cell[RL_HOLES][RL_TECHNIQUES]; /**< by hole - 1 */
  RlKey  key;
} RlComb;

RlComb rl_comb_of(const RlView *view);

#endif
