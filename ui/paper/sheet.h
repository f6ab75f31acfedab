/* SPDX-License-Identifier: ISC */
/* The lesson sheet: a song for one harp and one player on paper. The form with its phrases as
   rhythm over tab, and a comb for every chord. Pure but for the type case, which only remembers
   words; black on white. Measures are points (1/72 inch). */
#ifndef RL_UI_PAPER_SHEET_H
#define RL_UI_PAPER_SHEET_H

#include "core/arrange/lane.h"
#include "ui/paint/paint.h"

typedef enum { RL_PAPER_A4, RL_PAPER_LETTER, RL_PAPERS } RlPaperSize;

/** What a sheet shows. Whoever fills it owns what it points to. */
typedef struct {
  const RlForm *form;
  const RlPlan *plan; /**< NULL: no phrases */
  const RlLane *lane; /**< the plan's, for this form, key, harp and player; NULL without a plan */
  RlLaneWorkspace *workspace; /**< to work in; NULL without a plan */
  RlKey            key;       /**< of the song as it sounds */
  RlHarpChoice     harp;
  RlPlayer         player;
  RlPaperSize      size;
  int              pages; /**< by rl_sheet_fit() */
  double           tight; /**< likewise: how much of the roomy gaps there is, 0..1 */
} RlSheet;

/** `a4`, `letter`. */
const char *rl_paper_name(RlPaperSize size);

/** Its width and height in points; x and y are 0. Sources: ISO 216 (A4, 210 by 297 mm),
    ANSI/ASME Y14.1 (Letter, 8.5 by 11 inches). */
RlRect rl_paper_rect(RlPaperSize size);

/** Finds how many pages it takes (returned too, at least 1) and how tight they must be for that: to
    be called before it is drawn, and after any change again. No font is needed. */
int rl_sheet_fit(RlSheet *sheet);

/** Draws a page (from 0, below `pages`) with the unit of `cr` a point and its origin the
    sheet's upper left corner. `watch` may be NULL. */
void rl_sheet_draw(const RlSheet *sheet, int page, cairo_t *cr, RlTextCache *type, RlWatch watch,
                   void *watch_data);

#endif
