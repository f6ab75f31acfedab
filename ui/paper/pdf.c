/* SPDX-License-Identifier: ISC */
#include "ui/paper/pdf.h"

#include "ui/paper/compose.h"

#include <assert.h>
#include <cairo-pdf.h>

#ifndef RL_VERSION
#define RL_VERSION "unknown"
#endif

cairo_status_t
rl_sheet_render(cairo_surface_t *const surface, const double scale, const RlSheet *const sheet,
                const int from, const int to, RlTextCache *const type)
{
  cairo_t *const cr = cairo_create(surface);
  cairo_scale(cr, scale, scale);
  rl_sheet_draw_pages(sheet, from, to, cr, type);
  const cairo_status_t status = cairo_status(cr);
  cairo_destroy(cr);
  return status;
}

static void
title_set(cairo_surface_t *const to, const RlForm *const form)
{
  char   words[RL_CHART_MAX + 1];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, rl_form_text(form, form->title));
  cairo_pdf_surface_set_metadata(to, CAIRO_PDF_METADATA_TITLE, words[0] ? words : "Untitled");
  cairo_pdf_surface_set_metadata(to, CAIRO_PDF_METADATA_CREATOR, "Reedlamp " RL_VERSION);
}

cairo_status_t
rl_sheet_pdf(const RlSheet *const sheet, RlTextCache *const type, RlBytes *const pdf)
{
  assert(sheet->pages > 0);
  const RlRect           area = rl_paper_rect(sheet->size);
  cairo_surface_t *const on =
    cairo_pdf_surface_create_for_stream(rl_bytes_add, pdf, area.w, area.h);
  title_set(on, sheet->form);
  cairo_status_t status = rl_sheet_render(on, 1, sheet, 0, sheet->pages, type);
  cairo_surface_finish(on);
  status = status == CAIRO_STATUS_SUCCESS ? cairo_surface_status(on) : status;
  cairo_surface_destroy(on);
  return status;
}
