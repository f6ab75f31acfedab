/* SPDX-License-Identifier: ISC */
/* The pane in the window: what was drawn, which parts of it must be drawn anew, and which must
   be brought to the screen. No X, no GL. The thread of the window only. */
#ifndef RL_UI_WINDOW_PANE_H
#define RL_UI_WINDOW_PANE_H

#include "ui/window/window.h"

typedef struct {
  cairo_surface_t *surface; /**< an image of width x height pixels */
  cairo_region_t  *stale;   /**< parts to be drawn */
  cairo_region_t  *bare;    /**< parts of the screen to be filled from the image */
  cairo_format_t   format;
  int              width, height;
} RlPane;

/** Images of that format. False without memory; rl_pane_free() in either case. */
bool rl_pane_init(RlPane *pane, cairo_format_t format);
void rl_pane_free(RlPane *pane);

/** A new size, in pixels: all of it is to be drawn. The same size changes nothing. */
void rl_pane_resize(RlPane *pane, int width, int height);

/** The screen has lost that part. */
void rl_pane_expose(RlPane *pane, RlRect part);

/** Asks the face what changed, and draws that. */
void rl_pane_draw(RlPane *pane, const RlWindowCallbacks *face);

/** Brings a part of the image to the screen. */
typedef void (*RlPanePut)(void *data, const cairo_rectangle_int_t *part);

/** Brings to the screen what it lacks. */
void rl_pane_show(RlPane *pane, RlPanePut put, void *data);

#endif
