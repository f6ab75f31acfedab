/* SPDX-License-Identifier: ISC */
/* Blocks one below the other, page by page. The same code counts pages (without ink) and draws some
   of them in one go. Lengths are points. */
#ifndef RL_UI_PAPER_FLOW_H
#define RL_UI_PAPER_FLOW_H

#include "ui/paint/paint.h"
#include "ui/paper/sheet.h"

typedef struct RlFlow {
  const RlSheet *sheet;
  RlPaint        paint;    /**< `cr` NULL: pages are only counted */
  RlRect         text;     /**< the area inside the margins */
  double         y;        /**< where the next block begins */
  double         spacing;  /**< as in RlSheet; blocks scale their gaps by it */
  int            page;     /**< the page reached, from 0 */
  int            from, to; /**< the pages to draw; `to` is not one of them */
  void (*turn)(struct RlFlow *flow, bool begins); /**< a page to draw ends, or begins; NULL: none
                                                       is drawn */
} RlFlow;

/** Tells `turn`, if the page reached is to be drawn, that it ends or begins. */
void rl_flow_turn(RlFlow *flow, bool begins);

/** Reserves a box of that height below what stands there, or on a new page. True if it is to be
    drawn. */
bool rl_flow_reserve(RlFlow *flow, double height, RlRect *box);

/** A paragraph as wide as the page. */
void rl_flow_paragraph(RlFlow *flow, double size, const char *words);

#endif
