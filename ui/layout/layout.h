/* SPDX-License-Identifier: ISC */
/* Where everything stands in a window, and what can be done there. All measures of the window are
   in this room; they are in units, which are pixels at the size that the shape was drawn for (see
   measures.c). Pure. */
#ifndef RL_UI_LAYOUT_LAYOUT_H
#define RL_UI_LAYOUT_LAYOUT_H

#include "ui/model/view.h"
#include "ui/paint/paint.h"

/** How a picture is arranged. */
typedef enum {
  RL_SHAPE_FULL,  /**< comb, chart beside it, settings below; 1280 by 720 */
  RL_SHAPE_STAGE, /**< comb alone; 1280 by 720 */
  RL_SHAPE_SMALL, /**< comb, one row of the chart; 480 by 320 */
  RL_SHAPE_TALL,  /**< comb above, chart below; 360 by 740 */
  RL_SHAPES
} RlShape;

/** A place where something can be done, in units. */
typedef struct {
  RlAction action;
  RlRect   at;
} RlSpot;

enum { RL_SPOTS_MAX = 320, RL_ROW_BARS = 4, RL_ROWS_MAX = RL_BARS_MAX, RL_KEYS = 12 };

/** In units, but for `unit` itself. A rectangle without width is not there. */
typedef struct {
  RlShape shape;
  double  unit; /**< pixels */
  double  w, h; /**< of the window */
  double  margin;
  double  label, value, name, hole; /**< font sizes, see RlMeasures */

  RlRect now, next;           /**< the two corners */
  double comb_x, pitch_x;     /**< left edge of hole 1; column to column */
  double pitch_y;             /**< row to row */
  double rail_y, rail_h, gap; /**< gap: between rail and lamps */
  int    above, below;        /**< rows of lamps, blow and draw counted */
  double gutter;              /**< left of the comb: the words of its rows */

  RlRect lane;
  double lane_high; /**< its height in this shape, whether it is there or not */
  int    lane_bars;

  RlRect   head, rows; /**< the chart's title; its rows */
  double   row_pitch;
  int      row_count, first_row, rows_shown, row_cells; /**< first_row: the first in sight */
  uint16_t row_bar[RL_ROWS_MAX + 1]; /**< index of each row's first bar, and one past the last */

  RlRect problem;
  RlRect hearing; /**< how following by ear goes */
  RlRect chorus;  /**< the line after a chorus */
  RlRect panels;  /**< practice: all panels */
  RlRect notice;
  RlRect editor;                  /**< of a bar, or of a whole text */
  RlRect list, list_typing;       /**< the open list; the line typed into it */
  RlRect owned, ranking;          /**< which harp? */
  RlRect library, preview, about; /**< phrases */
  RlRect strip;                   /**< under the preview: what it was lifted from; w 0: not there */
  RlRect changes;                 /**< what was changed of the selected phrase, in words */
  RlRect phrase_typing;           /**< where a remark or a feel is typed; w 0: none is */
  double rank_pitch;
  int    first_rank, ranks_shown;
  int    first_phrase, phrases_shown;
  RlRect charts, chart_shown;      /**< the list of charts; the selected one */
  RlRect asking, asked;            /**< what is asked; its words */
  RlRect aims;                     /**< the bend trainer: the rail with the holes */
  RlRect gauge, tried, last_tries; /**< needle and trace; words about the try; the last ones */
  int    first_entry, entries_shown;
  double line_pitch; /**< of a text */
  int    lines_shown;

  int live; /**< index of the first spot that can be used: while a list or an editor is open, its
                 own */
  int    spots;
  RlSpot spot[RL_SPOTS_MAX]; /**< in the order of the Tab key; later ones lie on top */
} RlLayout;

/** Lays out a window of that many pixels, at least 1 by 1. */
void rl_layout_make(RlLayout *layout, const RlView *view, int width, int height);

/** Where in a field of one line its text is typed, and how large. */
RlRect rl_layout_typing(RlRect field);
double rl_layout_typing_size(const RlLayout *layout, RlEdit kind, RlRect field);

/** The cell of a note on the comb; `hole` from 1. */
RlRect rl_layout_cell(const RlLayout *layout, int hole, RlTechnique technique);

/** The cell of a bar of the chart, empty if it is not in sight. */
RlRect rl_layout_bar(const RlLayout *layout, int index);

/** The topmost spot at a point in pixels that can be used, -1: none. */
int rl_layout_hit(const RlLayout *layout, double x, double y);

/** The nearest usable spot from another one in a direction (-1, 0, 1); itself if there is none. */
int rl_layout_towards(const RlLayout *layout, int from, int dx, int dy);

/** The row of the chart, from 0, that a bar stands in; `index` in the form. */
int rl_layout_row_of(const RlLayout *layout, int index);

#endif
