/* SPDX-License-Identifier: ISC */
/* The lesson sheet: a song for one harp and one player on paper. The form with its phrases as
   rhythm over tab, and a comb for every chord. This is what it shows; compose.h draws it. Lengths
   are points (1/72 inch). Pure. */
#ifndef RL_UI_PAPER_SHEET_H
#define RL_UI_PAPER_SHEET_H

#include "core/arrange/lane.h"
#include "core/arrange/target_line.h"
#include "core/harmony/lamps.h"
#include "ui/paint/rect.h"

/** A paper format. */
typedef enum { RL_PAPER_A4, RL_PAPER_LETTER, RL_PAPERS } RlPaperSize;

/** What a sheet shows. Whoever fills it owns what it points to. */
typedef struct {
  const RlForm    *form;
  const RlPlan    *plan; /**< NULL: no phrases */
  const RlLane    *lane; /**< the plan's, for this form, key, harp and player; NULL without one */
  RlLaneWorkspace *workspace; /**< scratch memory for the lane; NULL without a plan */
  RlKey            key;       /**< of the song as it sounds */
  RlHarpChoice     harp;
  RlPlayer         player;
  RlShow           show;    /**< which notes the combs have; 0: all */
  const RlTargetLine *line; /**< set by rl_sheet_aim() */
  RlPaperSize         size;
  int                 pages; /**< set by rl_sheet_fit(); at least 1 */
  bool   key_first;          /**< set by rl_sheet_fit(): how tab is read stands above the rows */
  double spacing;            /**< set by rl_sheet_fit(): 1 is roomy, 0 as tight as can be */
} RlSheet;

/** Finds the notes to land on, for form, key, harp and player, if the combs have those alone. They
    are kept in `line`. */
void rl_sheet_aim(RlSheet *sheet, RlTargetLineWorkspace *scratch, RlTargetLine *line);

/** `a4`, `letter`. */
const char *rl_paper_name(RlPaperSize size);

/** Its width and height in points; x and y are 0. Sources: ISO 216 (A4, 210 by 297 mm),
    ANSI/ASME Y14.1 (Letter, 8.5 by 11 inches). */
RlRect rl_paper_rect(RlPaperSize size);

#endif
