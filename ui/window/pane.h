/* SPDX-License-Identifier: ISC */
/* The picture in memory: which parts of it must be drawn again (stale), and which parts of the
   screen must be filled from it (exposed). Knows neither X nor GL. The window's thread. */
#ifndef RL_UI_WINDOW_PANE_H
#define RL_UI_WINDOW_PANE_H

#include "ui/window/window.h"

typedef struct {
  cairo_surface_t *surface; /**< an image of width x height pixels */
  cairo_region_t  *stale;   /**< parts of the image to be drawn */
  cairo_region_t  *exposed; /**< parts of the screen to be filled from the image */
  cairo_format_t   format;
  int              width, height;
} RlPane;

/** For images of that format. False without memory; call rl_pane_free() in either case. */
bool rl_pane_init(RlPane *pane, cairo_format_t format);
void rl_pane_free(RlPane *pane);

/** Sets the size, in pixels; all of a new size is stale. */
void rl_pane_resize(RlPane *pane, int width, int height);

/** The screen has lost that part (pixels). */
void rl_pane_expose(RlPane *pane, RlRect part);

/** Asks the callbacks what has changed, and lets them draw it. */
void rl_pane_draw(RlPane *pane, const RlWindowCallbacks *callbacks);

/** Copies a part of the image to the screen. */
typedef void (*RlPanePut)(void *data, const cairo_rectangle_int_t *part);

/** Copies everything exposed to the screen. */
void rl_pane_show(RlPane *pane, RlPanePut put, void *data);

#endif
