/* SPDX-License-Identifier: ISC */
/* Pages: blocks one below the other, as tight as saves a page and no tighter. */
#include "ui/model/music_signs.h"
#include "ui/paper/inside.h"

#include <math.h>
#include <string.h>

enum { MARGIN = 34, FOOT = 18 };

static const struct {
  const char *name;
  double      w, h;
} sizes[RL_PAPERS] = {[RL_PAPER_A4]     = {"a4", 210 / 25.4 * 72, 297 / 25.4 * 72},
                      [RL_PAPER_LETTER] = {"letter", 8.5 * 72, 11 * 72}};

const char *
rl_paper_name(const RlPaperSize size)
{
  return sizes[size].name;
}

RlRect
rl_paper_rect(const RlPaperSize size)
{
  return (RlRect){0, 0, sizes[size].w, sizes[size].h};
}

/* ---- ink ---- */

void
rl_paper_write(const RlPaint *const p, const RlRect box, const double size, const RlCut cut,
               const RlAlign align, const char *const text)
{
  rl_write(p, box, (RlStyle){size, cut, RL_INK_PRINT, align}, text);
}

void
rl_paper_dot(const RlPaint *const p, const double x, const double y, const double r,
             const RlInk ink)
{
  cairo_save(p->cr); /* a point with round ends takes a tenth of a circle's room in a PDF */
  rl_set_ink(p, ink, 1);
  cairo_set_line_width(p->cr, 2 * r);
  cairo_set_line_cap(p->cr, CAIRO_LINE_CAP_ROUND);
  cairo_move_to(p->cr, x, y);
  cairo_line_to(p->cr, x, y);
  cairo_stroke(p->cr);
  cairo_restore(p->cr);
}

double
rl_paper_about(const char *text, const double size)
{
  static const char narrow[] = "lit. ", wide[] = "&mMwW";
  double            ems = 0;
  for (; *text; ++text) {
    const bool inside = ((unsigned char)*text & 0xC0) == 0x80; /* of a longer character */
    ems += inside                  ? 0
           : *text == '\''         ? 0.3
           : strchr(narrow, *text) ? 0.45
           : strchr(wide, *text)   ? 0.85
                                   : 0.67;
  }
  return ems * size;
}

void
rl_paper_line(const RlPaint *const p, const double x, const double y, const double to_x,
              const double to_y, const double width)
{
  rl_set_ink(p, RL_INK_PRINT, 1);
  cairo_set_line_width(p->cr, width);
  cairo_move_to(p->cr, x, y);
  cairo_line_to(p->cr, to_x, to_y);
  cairo_stroke(p->cr);
}

void
rl_paper_chord(const RlSheet *const p, const RlChord chord, const bool degree, RlText *const text)
{
  const RlHarmony h = rl_harmony_of(chord, p->key);
  char            ascii[RL_CHORD_SIZE];
  RlText          name = rl_text_in(ascii, sizeof(ascii));
  if (degree) {
    rl_harmony_degree(&h, &name);
  } else {
    rl_harmony_name(&h, &name);
  }
  rl_music_signs(ascii, text);
}

/* ---- pages ---- */

bool
rl_flow_reserve(RlFlow *const f, const double height, RlRect *const box)
{
  if (f->y + height > f->text.y + f->text.h && f->y > f->text.y) {
    ++f->page;
    f->y = f->text.y;
  }
  *box = (RlRect){f->text.x, f->y, f->text.w, height};
  f->y += height;
  return f->paint.cr && f->page == f->wanted;
}

void
rl_flow_words(RlFlow *const f, const double size, const char *const words)
{
  const double pitch = size * 1.35;
  const int    lines = (int)ceil(0.81 * rl_paper_about(words, size) / f->text.w);
  RlRect       box;
  if (lines && rl_flow_reserve(f, lines * pitch, &box)) {
    rl_write_lines(&f->paint, box, (RlStyle){size, RL_PLAIN, RL_INK_PRINT, RL_LEFT}, words, lines);
  }
}

static void
foot_draw(const RlFlow *const f)
{
  const RlRect area = rl_paper_rect(f->sheet->size);
  RlRect       box  = {f->text.x, area.h - MARGIN - 10, f->text.w, 10};
  char         words[RL_PAPER_WORDS];
  RlText       text  = rl_text_in(words, sizeof(words));
  const int    pages = f->sheet->pages;
  if (pages > 1) {
    rl_text_add(&text, "page ");
    rl_text_add_int(&text, f->wanted + 1);
    rl_text_add(&text, " of ");
    rl_text_add_int(&text, pages);
    rl_text_add(&text, ", ");
  }
  rl_text_add(&text, "made with Reedlamp");
  rl_paper_write(&f->paint, rl_rect_cut_right(&box, 150), 8, RL_PLAIN, RL_RIGHT, words);
  rl_paper_write(&f->paint, box, 8, RL_PLAIN, RL_LEFT,
                 "Rest when you feel light-headed. Keep monitors and headphones moderate. "
                 "Share no harps unwashed.");
}

/* From the second page on: which song this is. */
static void
running_head(const RlFlow *const f)
{
  const RlForm *const form = f->sheet->form;
  char                words[RL_PAPER_WORDS];
  RlText              text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, rl_form_text(form, form->title));
  rl_text_add(&text, text.used ? ", " : "");
  rl_paper_harp(f->sheet, &text);
  rl_paper_write(&f->paint, (RlRect){f->text.x, MARGIN - 16, f->text.w, 11}, 9, RL_PLAIN, RL_LEFT,
                 words);
}

static RlFlow
flow_begin(const RlSheet *const p, const double tight)
{
  const RlRect area = rl_paper_rect(p->size);
  const RlRect text = {MARGIN, MARGIN, area.w - 2 * MARGIN, area.h - 2 * MARGIN - FOOT};
  return (RlFlow){.sheet = p, .text = text, .y = text.y, .tight = tight};
}

static int
flow_run(RlFlow *const f)
{
  rl_paper_head(f);
  rl_paper_rows(f);
  rl_paper_reading(f);
  rl_paper_combs(f);
  return f->page + 1;
}

int
rl_sheet_fit(RlSheet *const p)
{
  static const double tries[] = {1, 0.75, 0.5, 0.25, 0};
  p->pages                    = 0;
  for (size_t i = 0; i < sizeof(tries) / sizeof(*tries) && p->pages != 1; ++i) {
    RlFlow    f     = flow_begin(p, tries[i]);
    const int pages = flow_run(&f);
    if (!p->pages || pages < p->pages) {
      p->pages = pages;
      p->tight = tries[i];
    }
  }
  return p->pages;
}

void
rl_sheet_draw(const RlSheet *const p, const int page, cairo_t *const cr, RlTextCache *const type,
              const RlWatch watch, void *const watch_data)
{
  RlFlow f = flow_begin(p, p->tight);
  f.paint  = (RlPaint){cr, type, watch, watch_data};
  f.wanted = page;
  rl_fill_box(&f.paint, rl_paper_rect(p->size), 0, RL_INK_PAPER);
  flow_run(&f);
  if (page > 0) {
    running_head(&f);
  }
  foot_draw(&f);
}
