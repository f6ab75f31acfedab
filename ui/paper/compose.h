/* SPDX-License-Identifier: ISC */
/* The blocks of a sheet put together on pages, black on white. Pure but for the text cache, which
   only remembers laid-out words; one thread for one RlTextCache. */
#ifndef RL_UI_PAPER_COMPOSE_H
#define RL_UI_PAPER_COMPOSE_H

#include "ui/paint/paint.h"
#include "ui/paper/sheet.h"

/** Finds the number of pages (returned too) and the widest spacing that needs no more of them. Call
    it before drawing, and again after any change. Needs no font: the result is the same on every
    machine. */
int rl_sheet_fit(RlSheet *sheet);

/** Draws a page (from 0, below `pages`) with the unit of `cr` a point and its origin the
    page's upper left corner. `watch` may be NULL. */
void rl_sheet_draw(const RlSheet *sheet, int page, cairo_t *cr, RlTextCache *type,
                   RlTextObserver watch, void *watch_data);

/** Draws pages `from` up to `to` (not included) of a fitted sheet, one after another, with
    cairo_show_page() after each. */
void rl_sheet_draw_pages(const RlSheet *sheet, int from, int to, cairo_t *cr, RlTextCache *type);

#endif
