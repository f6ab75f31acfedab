/* SPDX-License-Identifier: ISC */
/* The measures of each shape, in its own units. Included by ui/layout only. */
#ifndef RL_UI_LAYOUT_MEASURES_H
#define RL_UI_LAYOUT_MEASURES_H

#include "ui/layout/layout.h"

typedef struct {
  double w, h; /**< of the window that the shape was drawn for */
  double margin, gutter, rail, gap;
  double below; /**< kept free under the comb */
  double label, value,
    name;      /**< font sizes: small print; settings and buttons; chords of the chart */
  double hole; /**< font size of the hole numbers on the rail */
  double lane; /**< height of the lane, where there is one */
  int    lane_bars;
} RlMeasures;

const RlMeasures *rl_measures(RlShape shape);

/** Width of a column of the comb in the full window; what is left over is the chart's. */
enum { RL_COLUMN = 76 };

#endif
