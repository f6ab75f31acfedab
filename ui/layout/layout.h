/* SPDX-License-Identifier: ISC */
/* Where everything stands: the one place that holds measures. Units are pixels at the shape's own
   size, see the table in layout.c; `unit` says how many pixels one is. Pure. */
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

/** A place where something can be done. */
typedef struct {
  RlAction action;
  RlRect   at;
} RlSpot;

enum { RL_SPOTS_MAX = 320, RL_ROW_BARS = 4, RL_ROWS_MAX = RL_BARS_MAX, RL_KEYS = 12 };

typedef struct {
  RlShape shape;
  double  unit, w, h; /**< pixels a unit; the window in units */
  double  margin;
  double  label, value, name,
    hole; /**< sizes of words: small print, settings, chords of the chart */

  RlRect now, next;           /**< the two corners */
  double comb_x, pitch_x;     /**< left edge of hole 1, column to column */
  double pitch_y;             /**< row to row */
  double rail_y, rail_h, gap; /**< gap: between rail and lamps */
  int    above, below;        /**< rows of lamps, blow and draw counted */
  double gutter;

  RlRect lane;      /**< phrases as tab; empty if there are none to show */
  double lane_high; /**< what it would take */
  int    lane_bars;

  RlRect   head, rows; /**< the chart's title, its rows */
  double   row_pitch;
  int      row_count, first_row, rows_shown, row_cells;
  uint16_t row_bar[RL_ROWS_MAX + 1]; /**< index of each row's first bar, and one past the last */

  RlRect problem;                 /**< what is wrong, in words; empty if nothing is */
  RlRect notice;                  /**< what is said once; empty if nothing is */
  RlRect editor;                  /**< what is being typed, empty if nothing is */
  RlRect list, list_typing;       /**< the open list; what is typed into it */
  RlRect owned, ranking;          /**< which harp? */
  RlRect library, preview, about; /**< phrases */
  double rank_pitch;
  int    first_rank, ranks_shown;
  int    first_pick, picks_shown;
  double line_pitch; /**< of the chart as text */
  int    lines_shown;

  int    live; /**< index of the first spot that can be used: while a list is open, its own */
  int    spots;
  RlSpot spot[RL_SPOTS_MAX]; /**< in the order of the Tab key; later ones lie on top */
} RlLayout;

/** Lays out a window of that many pixels. */
void rl_layout_make(RlLayout *layout, const RlView *view, int width, int height);

/** The cell of a note. */
RlRect rl_layout_cell(const RlLayout *layout, int hole, RlTechnique technique);

/** The cell of a bar of the chart, empty if it is not in sight. */
RlRect rl_layout_bar(const RlLayout *layout, int index);

/** The topmost spot at a point in pixels, -1 for none. */
int rl_layout_hit(const RlLayout *layout, double x, double y);

/** The nearest spot in a direction (-1, 0, 1) from another; itself if there is none. */
int rl_layout_towards(const RlLayout *layout, int from, int dx, int dy);

/** The row of the chart that a bar stands in. */
int rl_layout_row_of(const RlLayout *layout, int index);

/* ---- between layout.c, pages.c and rows.c ---- */

/** Puts buttons side by side into an area, `gap` between them. */
void rl_layout_buttons(RlLayout *layout, RlRect area, const RlActionKind *actions, int count,
                       double gap);

void rl_layout_harps(RlLayout *layout, const RlView *view);
void rl_layout_phrases(RlLayout *layout, const RlView *view);
void rl_layout_text(RlLayout *layout);

void rl_layout_spot(RlLayout *layout, RlActionKind kind, int value, RlRect at);

/** Cuts the form into rows, puts them into an area (each `least` to `most` high), and makes a spot
   of every bar in sight. */
void rl_layout_rows_cut(RlLayout *layout, const RlForm *form);
void rl_layout_rows_place(RlLayout *layout, const RlView *view, RlRect area, double least,
                          double most);
void rl_layout_bars(RlLayout *layout);

#endif
