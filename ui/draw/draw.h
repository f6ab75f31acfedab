/* SPDX-License-Identifier: ISC */
/* The picture: what a view looks like at a size. Pure but for the text cache. The window, the
   demo's pictures and the tests use the same. */
#ifndef RL_UI_DRAW_DRAW_H
#define RL_UI_DRAW_DRAW_H

#include "ui/layout/layout.h"

/** Draws a window of that many pixels; only what lies in the clip of `cr` is touched. The observer,
    which may be NULL, is told of every text, outside the clip too. */
void rl_draw(const RlView *view, int width, int height, cairo_t *cr, RlTextCache *cache,
             RlTextObserver observer, void *observer_data);

#endif
