/* SPDX-License-Identifier: ISC */
/* Rectangles, and how they are divided. Lengths are pixels or units of the layout, whatever the
   caller measures in. Pure. */
#ifndef RL_UI_PAINT_RECT_H
#define RL_UI_PAINT_RECT_H

#include <stdbool.h>

/** `x` and `y` are the upper left corner. A part of a window may reach beyond its edges. */
typedef struct {
  double x, y, w, h;
} RlRect;

enum { RL_DAMAGE_MAX = 32 /**< parts of a window that are drawn again at once */ };

/** The rectangle with `by` less on each side; more if negative. */
RlRect rl_rect_inset(RlRect box, double by);

/** Cuts a strip off one side of `box`, which keeps the rest; returns the strip. */
RlRect rl_rect_cut_left(RlRect *box, double width);
RlRect rl_rect_cut_right(RlRect *box, double width);
RlRect rl_rect_cut_top(RlRect *box, double height);
RlRect rl_rect_cut_bottom(RlRect *box, double height);

/** The n-th (from 0) of cells of that size in rows of `columns`, the first at x, y. */
RlRect rl_rect_grid_cell(double x, double y, double w, double h, int columns, int n);

/** Does the point lie in it? The left and upper edges belong to it, the others do not. */
bool rl_rect_contains(RlRect box, double x, double y);

#endif
