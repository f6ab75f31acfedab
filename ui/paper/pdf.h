/* SPDX-License-Identifier: ISC */
/* A lesson sheet as a PDF: the one way there for the program, the window and the page for phones.
   One thread for one RlTextCache. */
#ifndef RL_UI_PAPER_PDF_H
#define RL_UI_PAPER_PDF_H

#include "ui/paint/paint.h"
#include "ui/paper/bytes.h"
#include "ui/paper/sheet.h"

/** Draws pages `from` up to `to` (not included) of a fitted sheet, a point being `scale` units of
    the surface. */
cairo_status_t rl_sheet_render(cairo_surface_t *surface, double scale, const RlSheet *sheet,
                               int from, int to, RlTextCache *type);

/** The whole sheet, with the song's title in its metadata, appended to `pdf`. The sheet must be
    fitted. */
cairo_status_t rl_sheet_pdf(const RlSheet *sheet, RlTextCache *type, RlBytes *pdf);

#endif
