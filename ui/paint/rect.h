/* SPDX-License-Identifier: ISC */
/* Boxes in pixels. */
#ifndef RL_UI_PAINT_RECT_H
#define RL_UI_PAINT_RECT_H

/** A part of the window, in pixels; may reach beyond its edges. */
typedef struct {
  double x, y, w, h;
} RlRect;

enum { RL_DAMAGE_MAX = 32 /**< parts of a window that are drawn anew at once */ };

#endif
