/* SPDX-License-Identifier: ISC */
#include "ui/paper/notes.h"

#include "ui/paper/pen.h"

#include <assert.h>
#include <math.h>

/* Points from the top of the strip; half widths and heights of a head; thicknesses. */
static const double head_y = 24, stem_top = 8.5, rest_y = 17, head_w = 3.6, head_h = 2.6;
static const double thin = 0.9, beam_thick = 2.4, beam_pitch = 3.8;

typedef struct {
  const RlPaint     *p;
  const RlBarLayout *b;
  RlRect             cell;
  double             top;
} Strip;

static const RlBarSlot *
slot_of(const RlBarLayout *const b, const int symbol)
{
  int i = 0;
  while (i + 1 < b->slots && b->slot[i].symbol != symbol) {
    ++i;
  }
  return &b->slot[i];
}

/* The middle of a head or rest. */
static double
middle_of(const Strip *const s, const int symbol)
{
  const RlBarSlot *const slot = slot_of(s->b, symbol);
  const RlSymbol *const  n    = &s->b->symbol[symbol];
  const double           more = (n->dot ? 4 : 0) + (n->value >= RL_EIGHTH_NOTE && !n->beam ? 5 : 0);
  return slot->x + fmax(slot->column - (n->sound >= 0 ? more * 0.5 : 0), 0) / 2;
}

static double
stem_x(const Strip *const s, const int symbol)
{
  return middle_of(s, symbol) + head_w - thin / 2;
}

/* ---- one note ---- */

static void
head_draw(const Strip *const s, const int symbol)
{
  const RlSymbol *const n      = &s->b->symbol[symbol];
  const bool            hollow = n->value <= RL_HALF_NOTE;
  cairo_t *const        cr     = s->p->cr;
  cairo_save(cr);
  cairo_translate(cr, middle_of(s, symbol), s->top + head_y);
  cairo_rotate(cr, -0.35);
  cairo_scale(cr, hollow ? head_w - 0.5 : head_w, hollow ? head_h - 0.5 : head_h);
  cairo_arc(cr, 0, 0, 1, 0, 6.2832);
  cairo_restore(cr);
  rl_set_ink(s->p, RL_INK_PRINT, 1);
  if (hollow) {
    cairo_set_line_width(cr, 1.3);
    cairo_stroke(cr);
  } else {
    cairo_fill(cr);
  }
}

static void
flags_draw(const Strip *const s, const int symbol)
{
  const int      flags = s->b->symbol[symbol].value - RL_QUARTER_NOTE;
  const double   x     = stem_x(s, symbol);
  cairo_t *const cr    = s->p->cr;
  rl_set_ink(s->p, RL_INK_PRINT, 1);
  for (int i = 0; i < flags; ++i) {
    const double y = s->top + stem_top + i * beam_pitch;
    cairo_move_to(cr, x, y);
    cairo_curve_to(cr, x + 0.5, y + 3.5, x + 5.5, y + 4.5, x + 4, y + 9);
    cairo_curve_to(cr, x + 4.4, y + 6, x + 2, y + 4.6, x, y + 3.4);
    cairo_close_path(cr);
    cairo_fill(cr);
  }
}

static void
note_draw(const Strip *const s, const int symbol)
{
  const RlSymbol *const n = &s->b->symbol[symbol];
  const double          x = stem_x(s, symbol);
  head_draw(s, symbol);
  if (n->value >= RL_HALF_NOTE) {
    rl_pen_line(s->p, x, s->top + head_y - 1, x, s->top + stem_top, thin);
  }
  if (n->value >= RL_EIGHTH_NOTE && !n->beam) {
    flags_draw(s, symbol);
  }
  if (n->dot) {
    rl_pen_dot(s->p, middle_of(s, symbol) + head_w + 2.6, s->top + head_y - 1, 1.1, RL_INK_PRINT);
  }
}

/* ---- rests ---- */

/* A bar on a short line: a whole rest hangs from it, a half rest lies on it. */
static void
long_rest(const Strip *const s, const double x, const bool whole)
{
  const double y = s->top + rest_y;
  rl_pen_line(s->p, x - 5, y, x + 5, y, 0.7);
  rl_fill_box(s->p, (RlRect){x - 3, whole ? y : y - 2.8, 6, 2.8}, 0, RL_INK_PRINT);
}

static void
quarter_rest(const Strip *const s, const double x)
{
  const double   y  = s->top + rest_y;
  cairo_t *const cr = s->p->cr;
  rl_set_ink(s->p, RL_INK_PRINT, 1);
  cairo_move_to(cr, x - 1.6, y - 7);
  cairo_line_to(cr, x + 2.2, y - 2.6);
  cairo_curve_to(cr, x + 0.2, y - 0.6, x + 0.4, y + 0.8, x + 2.6, y + 3.4);
  cairo_curve_to(cr, x - 0.6, y + 2.2, x - 1.6, y + 3.6, x + 0.6, y + 6.6);
  cairo_curve_to(cr, x - 3.6, y + 4.2, x - 3, y + 1, x + 0.2, y + 1.8);
  cairo_line_to(cr, x - 2.4, y - 1.4);
  cairo_curve_to(cr, x - 0.4, y - 3.2, x - 0.2, y - 4.8, x - 1.6, y - 7);
  cairo_fill(cr);
}

static void
short_rest(const Strip *const s, const double x, const int flags)
{
  const double   y  = s->top + rest_y - 4;
  cairo_t *const cr = s->p->cr;
  for (int i = 0; i < flags; ++i) {
    const double at = x + 2.4 - i * 1.1;
    rl_pen_dot(s->p, at - 4, y + i * 3.6, 1.4, RL_INK_PRINT);
    rl_set_ink(s->p, RL_INK_PRINT, 1);
    cairo_set_line_width(cr, 1);
    cairo_move_to(cr, at - 4, y + i * 3.6 + 1);
    cairo_curve_to(cr, at - 2.5, y + i * 3.6 + 1.6, at - 1, y + i * 3.6 + 1, at, y + i * 3.6 - 0.6);
    cairo_stroke(cr);
  }
  rl_pen_line(s->p, x + 2.4, y - 0.8, x + 2.4 - flags * 1.6 - 1, y + 4.4 + flags * 3, 1.1);
}

static void
rest_draw(const Strip *const s, const int symbol)
{
  const RlSymbol *const n = &s->b->symbol[symbol];
  const double          x = middle_of(s, symbol) - (n->dot ? 2 : 0);
  if (n->value <= RL_HALF_NOTE) {
    long_rest(s, x, n->value == RL_WHOLE_NOTE);
  } else if (n->value == RL_QUARTER_NOTE) {
    quarter_rest(s, x);
  } else {
    short_rest(s, x, n->value - RL_QUARTER_NOTE);
  }
  if (n->dot) {
    rl_pen_dot(s->p, x + 6, s->top + rest_y - 2, 1.1, RL_INK_PRINT);
  }
}

/* ---- beams, ties, slurs, tuplets ---- */

/* The beam of that level (1: eighths) from one note to the next that has it too; a stub where
   neither neighbour has. */
static void
beam_draw(const Strip *const s, const int i, const int level)
{
  const RlSymbol *const n    = &s->b->symbol[i];
  const bool            more = i + 1 < s->b->symbols && n[1].beam == n->beam;
  const bool            less = i > 0 && n[-1].beam == n->beam;
  const int             own  = n->value - RL_QUARTER_NOTE;
  const double          y    = s->top + stem_top + beam_thick / 2 + (level - 1) * beam_pitch;
  const double          x    = stem_x(s, i);
  if (own < level) {
    return;
  }
  if (more && n[1].value - RL_QUARTER_NOTE >= level) {
    rl_pen_line(s->p, x - thin / 2, y, stem_x(s, i + 1) + thin / 2, y, beam_thick);
  } else if (!(less && n[-1].value - RL_QUARTER_NOTE >= level)) {
    rl_pen_line(s->p, x, y, x + (more ? 5 : -5), y, beam_thick);
  }
}

static void
arc_draw(const Strip *const s, const double from, const double to, const double deep)
{
  const double   y  = s->top + head_y + 3.4;
  cairo_t *const cr = s->p->cr;
  rl_set_ink(s->p, RL_INK_PRINT, 1);
  cairo_set_line_width(cr, 0.6);
  cairo_move_to(cr, from, y);
  cairo_curve_to(cr, from + 2, y + deep, to - 2, y + deep, to, y);
  cairo_curve_to(cr, to - 2, y + deep + 1, from + 2, y + deep + 1, from, y);
  cairo_fill_preserve(cr);
  cairo_stroke(cr);
}

static void
ties_draw(const Strip *const s, const int i)
{
  const RlSymbol *const n    = &s->b->symbol[i];
  const bool            last = i + 1 == s->b->symbols;
  const double          edge = s->cell.x + s->cell.w;
  if (n->from && i == 0) {
    arc_draw(s, s->cell.x + 0.5, middle_of(s, i) - 1, 3);
  }
  if (n->into) {
    arc_draw(s, middle_of(s, i) + 1, last ? edge - 0.5 : middle_of(s, i + 1) - 1, 3);
  }
}

/* A slur: into the next sound without a new attack. */
static void
slur_draw(const Strip *const s, const int i)
{
  const RlSymbol *const n = &s->b->symbol[i];
  if (n->sound < 0 || n->into) {
    return;
  }
  const RlSongSound *const sound = &s->b->sound[n->sound];
  const RlLaneNote *const  note  = rl_bar_layout_note(s->b, sound, 0);
  const bool               last  = i + 1 == s->b->symbols;
  if (note->articulation & RL_ARTICULATION_SLUR && !(note->tab.marks & RL_TAB_NO_SLUR) &&
      (last || s->b->symbol[i + 1].sound >= 0)) {
    arc_draw(s, middle_of(s, i) + 1, last ? s->cell.x + s->cell.w - 0.5 : middle_of(s, i + 1) - 1,
             3);
  }
}

/* The number over a tuplet, and a bracket where no single beam joins all of it. */
static void
tuplet_draw(const Strip *const s, const int first)
{
  const RlSymbol *const n     = &s->b->symbol[first];
  bool                  beams = n->beam != 0;
  int                   last  = first;
  while (last + 1 < s->b->symbols && s->b->symbol[last + 1].group == n->group) {
    ++last;
    beams = beams && s->b->symbol[last].beam == n->beam;
  }
  const double from   = middle_of(s, first) - (beams ? 0 : head_w);
  const double to     = middle_of(s, last) + (beams ? 2 * head_w : head_w + 1);
  const double middle = (from + to) / 2;
  const double y      = s->top + 3.4;
  char         digit[8];
  RlText       text = rl_text_in(digit, sizeof(digit));
  rl_text_add_int(&text, n->tuplet);
  rl_pen_write(s->p, (RlRect){middle - 5, s->top - 0.5, 10, 8}, 8.5, RL_BOLD, RL_MIDDLE, digit);
  if (!beams) {
    rl_pen_line(s->p, from, y, fmax(from, middle - 4), y, 0.7);
    rl_pen_line(s->p, fmin(to, middle + 4), y, to, y, 0.7);
    rl_pen_line(s->p, from, y, from, y + 3, 0.7);
    rl_pen_line(s->p, to, y, to, y + 3, 0.7);
  }
}

void
rl_notes_draw(const RlPaint *const p, const RlBarLayout *const b, const double top,
              const RlRect cell)
{
  const Strip s = {p, b, cell, top};
  assert(p->cr);
  for (int i = 0; i < b->symbols; ++i) {
    const RlSymbol *const n = &b->symbol[i];
    if (n->sound < 0) {
      rest_draw(&s, i);
    } else {
      note_draw(&s, i);
      ties_draw(&s, i);
      slur_draw(&s, i);
    }
    for (int level = 1; n->beam && level <= RL_64TH - RL_QUARTER_NOTE; ++level) {
      beam_draw(&s, i, level);
    }
    if (n->group && (i == 0 || n[-1].group != n->group)) {
      tuplet_draw(&s, i);
    }
  }
}
