/* SPDX-License-Identifier: ISC */
#include "ui/paper/compose.h"

#include "ui/paper/combs.h"
#include "ui/paper/head.h"
#include "ui/paper/labels.h"
#include "ui/paper/legend.h"
#include "ui/paper/pen.h"
#include "ui/paper/rows.h"

#include <assert.h>

enum { MARGIN = 34, FOOT = 18 /* points */ };

static void
foot_draw(const RlFlow *const f)
{
  const RlRect area = rl_paper_rect(f->sheet->size);
  RlRect       box  = {f->text.x, area.h - MARGIN - 10, f->text.w, 10};
  char         words[RL_LABEL_SIZE];
  RlText       text  = rl_text_in(words, sizeof(words));
  const int    pages = f->sheet->pages;
  if (pages > 1) {
    rl_text_add(&text, "page ");
    rl_text_add_int(&text, f->page + 1);
    rl_text_add(&text, " of ");
    rl_text_add_int(&text, pages);
    rl_text_add(&text, ", ");
  }
  rl_text_add(&text, "made with Reedlamp");
  rl_pen_write(&f->paint, rl_rect_cut_right(&box, 150), 8, RL_PLAIN, RL_RIGHT, words);
  rl_pen_write(&f->paint, box, 8, RL_PLAIN, RL_LEFT,
               "Rest when you feel light-headed. Keep monitors and headphones moderate. "
               "Clean a harp before you lend it.");
}

/* On every page but the first: which song this is. */
static void
running_head_draw(const RlFlow *const f)
{
  const RlForm *const form  = f->sheet->form;
  const RlStyle       style = {9, RL_PLAIN, RL_INK_PRINT, RL_LEFT};
  char                words[2 * RL_LABEL_SIZE];
  RlText              text = rl_text_in(words, RL_LABEL_SIZE);
  char                harp[RL_LABEL_SIZE];
  RlText              rest = rl_text_in(harp, sizeof(harp));
  rl_label_harp(f->sheet, &rest);
  rl_text_add_slice(&text, rl_form_text(form, form->title));
  rl_pen_shorten(&f->paint, style, f->text.w - rl_write_width(&f->paint, style, harp) - 20, &text);
  text.size = sizeof(words);
  rl_text_add(&text, text.used ? ", " : "");
  rl_text_add(&text, harp);
  rl_pen_write(&f->paint, (RlRect){f->text.x, MARGIN - 16, f->text.w, 11}, 9, RL_PLAIN, RL_LEFT,
               words);
}

static RlFlow
flow_begin(const RlSheet *const sheet, const double spacing)
{
  const RlRect area = rl_paper_rect(sheet->size);
  const RlRect text = {MARGIN, MARGIN, area.w - 2 * MARGIN, area.h - 2 * MARGIN - FOOT};
  return (RlFlow){.sheet = sheet, .text = text, .y = text.y, .spacing = spacing};
}

/* All blocks from top to bottom; how many pages they take. */
static int
flow_run(RlFlow *const f)
{
  RlRect gap;
  rl_head_add(f);
  if (f->sheet->key_first) {
    rl_legend_key_add(f);
    rl_flow_reserve(f, 6 + 4 * f->spacing, &gap);
  }
  rl_rows_add(f);
  if (!f->sheet->key_first) {
    rl_legend_key_add(f);
  }
  rl_legend_add(f);
  rl_combs_add(f);
  return f->page + 1;
}

/* The roomiest spacing with the fewest pages. */
static int
spacing_find(RlSheet *const sheet)
{
  static const double tries[] = {1, 0.75, 0.5, 0.25, 0};
  sheet->pages                = 0;
  for (size_t i = 0; i < sizeof(tries) / sizeof(*tries) && sheet->pages != 1; ++i) {
    RlFlow    f     = flow_begin(sheet, tries[i]);
    const int pages = flow_run(&f);
    if (!sheet->pages || pages < sheet->pages) {
      sheet->pages   = pages;
      sheet->spacing = tries[i];
    }
  }
  return sheet->pages;
}

int
rl_sheet_fit(RlSheet *const sheet)
{
  assert(sheet->form && !sheet->plan == !sheet->lane && !sheet->plan == !sheet->workspace);
  sheet->key_first = false;
  if (spacing_find(sheet) > 1) { /* below the rows it might stand on the second page */
    sheet->key_first = true;
    spacing_find(sheet);
  }
  return sheet->pages;
}

/* The ground below a page, or what stands above and below its text. */
static void
page_turn(RlFlow *const f, const bool begins)
{
  if (begins) {
    rl_fill_box(&f->paint, rl_paper_rect(f->sheet->size), 0, RL_INK_PAPER);
    return;
  }
  if (f->page > 0) {
    running_head_draw(f);
  }
  foot_draw(f);
}

static void
page_turn_and_show(RlFlow *const f, const bool begins)
{
  page_turn(f, begins);
  if (!begins) {
    cairo_show_page(f->paint.cr);
  }
}

static void
flow_draw(RlFlow *const f)
{
  assert(f->from >= 0 && f->from <= f->to && f->to <= f->sheet->pages);
  rl_flow_turn(f, true);
  flow_run(f);
  rl_flow_turn(f, false);
}

void
rl_sheet_draw(const RlSheet *const sheet, const int page, cairo_t *const cr,
              RlTextCache *const type, const RlTextObserver watch, void *const watch_data)
{
  RlFlow f = flow_begin(sheet, sheet->spacing);
  f.paint  = (RlPaint){cr, type, watch, watch_data};
  f.from   = page;
  f.to     = page + 1;
  f.turn   = page_turn;
  flow_draw(&f);
}

void
rl_sheet_draw_pages(const RlSheet *const sheet, const int from, const int to, cairo_t *const cr,
                    RlTextCache *const type)
{
  RlFlow f = flow_begin(sheet, sheet->spacing);
  f.paint  = (RlPaint){cr, type, NULL, NULL};
  f.from   = from;
  f.to     = to;
  f.turn   = page_turn_and_show;
  flow_draw(&f);
}
