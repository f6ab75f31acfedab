/* SPDX-License-Identifier: ISC */
/* A lesson sheet as bytes: what the program, the window and the page for phones have in common. One
   thread for one RlTextCache. */
#ifndef RL_UI_PAPER_PDF_H
#define RL_UI_PAPER_PDF_H

#include "ui/paper/sheet.h"

/** Bytes that grow; begin with all zero, free() `at`. */
typedef struct {
  unsigned char *at;
  size_t         length, room;
} RlBytes;

/** Appends; `bytes` is an RlBytes. As Cairo wants it for its streams. */
cairo_status_t rl_bytes_add(void *bytes, const unsigned char *more, unsigned length);

/** Draws pages `from` up to `to` (not included) of a fitted paper, a point being `scale` units of
    the surface. */
cairo_status_t rl_sheet_render(cairo_surface_t *surface, double scale, const RlSheet *sheet,
                               int from, int to, RlTextCache *type);

/** The whole sheet as a PDF with the song's title, appended to `pdf`. The paper must be fitted. */
cairo_status_t rl_sheet_pdf(const RlSheet *sheet, RlTextCache *type, RlBytes *pdf);

#endif
