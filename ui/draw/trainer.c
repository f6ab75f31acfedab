/* SPDX-License-Identifier: ISC */
#include "ui/draw/trainer.h"

#include "ui/model/music_signs.h"

#include <math.h>
#include <stdlib.h>

enum { SCALE = 120 /* cents from the middle of the gauge to its edge */ };

/* ---- what can be aimed at ---- */

static void
note_name(const int midi, RlText *const text)
{
  char   name[RL_NAME_SIZE];
  RlText ascii = rl_text_in(name, sizeof(name));
  rl_spelling_write(rl_key_named(midi, false).tonic, &ascii);
  rl_music_signs(name, text);
}

/* How many of its tries were held: a line at its foot, as full as that share; no line where it was
   not tried. */
static void
share_draw(const RlScene *const s, const RlRect at, const RlTriesOf tries, const RlInk ink)
{
  const double h = fmax(3, at.h / 12);
  RlRect       b = {at.x + at.w * 0.14, at.y + at.h - 1.8 * h, at.w * 0.72, h};
  if (tries.all) {
    rl_edge_box(&s->paint, b, h / 2, fmax(1, h / 5), ink);
    b.w *= (double)tries.held / tries.all;
    if (b.w > h) {
      rl_fill_box(&s->paint, b, h / 2, ink);
    }
  }
}

static void
aim_draw(const RlScene *const s, const RlSpot *const spot)
{
  const RlView *const v      = s->view;
  const int           hole   = spot->action.value / RL_TECHNIQUES;
  const int           how    = spot->action.value % RL_TECHNIQUES;
  const RlHarp        harp   = rl_harp_make(rl_view_harp(v));
  const RlAim *const  aim    = &v->trainer.on->aim;
  const bool          chosen = aim->hole == hole && aim->technique == how;
  const bool          plain  = how == RL_BLOW || how == RL_DRAW;
  const double        r      = fmin(8, spot->at.h / 5);
  const RlInk         ink    = chosen ? RL_INK_ON_LIGHT : plain ? RL_INK_QUIET : RL_INK_TEXT;
  char                words[RL_WORDS_SIZE];
  RlText              name = rl_text_in(words, sizeof(words));
  RlRect              box  = rl_rect_inset(spot->at, spot->at.h / 16);
  note_name(harp.note[hole - 1][how], &name);
  rl_fill_box(&s->paint, spot->at, r, chosen ? RL_INK_90 : RL_INK_TOOTH);
  share_draw(s, spot->at, v->trainer.tries->note[hole - 1][how], ink);
  box.h *= 0.8;
  rl_write(&s->paint, box,
           (RlStyle){fmin(box.h * 0.62, box.w * 0.56), chosen ? RL_BOLD : RL_PLAIN, ink, RL_MIDDLE},
           words);
  if (rl_view_sounds(v, spot->action.value)) {
    rl_edge_box(&s->paint, rl_rect_inset(spot->at, -1), r + 1, fmax(2, spot->at.h / 12),
                RL_INK_100);
  }
}

static void
rail_draw(const RlScene *const s)
{
  const RlRect at = s->layout->aims;
  const double w  = at.w / RL_HOLES;
  rl_fill_box(&s->paint, rl_rect_inset(at, at.h / 20), fmin(8, at.h / 4), RL_INK_RAIL);
  for (int hole = 1; hole <= RL_HOLES; ++hole) {
    char   number[8];
    RlText text = rl_text_in(number, sizeof(number));
    rl_text_add_int(&text, hole);
    rl_write(&s->paint, (RlRect){at.x + (hole - 1) * w, at.y, w, at.h},
             (RlStyle){fmin(s->layout->hole, at.h * 0.6), RL_BOLD, RL_INK_TEXT, RL_MIDDLE}, number);
  }
}

/* Left of the rail, where there is a gutter. */
static void
row_words_draw(const RlScene *const s)
{
  static const struct {
    const char *words;
    int         row; /* from the rail, up is negative */
  } rows[]                = {{"blow", -1}, {"draw", 1}};
  const RlLayout *const l = s->layout;
  for (int i = 0; i < 2 && l->shape == RL_SHAPE_FULL; ++i) {
    const RlRect at = {l->margin, l->aims.y + rows[i].row * l->aims.h, l->aims.x - l->margin - 10,
                       l->aims.h};
    rl_write(&s->paint, at, (RlStyle){l->label, RL_PLAIN, RL_INK_QUIET, RL_RIGHT}, rows[i].words);
  }
}

/* ---- what is aimed at, in words ---- */

static void
aim_words(const RlView *const v, RlText *const text)
{
  static const char *const ways[RL_TECHNIQUES] = {
    [RL_BLOW] = "Blow ",        [RL_DRAW] = "Draw ",   [RL_BLOW_1] = "Blow ",
    [RL_BLOW_2] = "Blow ",      [RL_BLOW_3] = "Blow ", [RL_DRAW_1] = "Draw ",
    [RL_DRAW_2] = "Draw ",      [RL_DRAW_3] = "Draw ", [RL_OVERBLOW] = "Overblow ",
    [RL_OVERDRAW] = "Overdraw "};
  static const char *const bent[] = {"", " bent ½ step", " bent 1 step", " bent 1½ steps"};
  const RlAim *const       aim    = &v->trainer.on->aim;
  rl_text_add(text, ways[aim->technique]);
  rl_text_add_int(text, aim->hole);
  rl_text_add(text, bent[rl_technique_bend((RlTechnique)aim->technique)]);
  rl_text_add(text, ": ");
  note_name(aim->midi, text);
}

/* What the band is, where it is no plain note of equal temperament. */
static void
band_words(const RlView *const v, RlText *const text)
{
  const RlAim *const aim  = &v->trainer.on->aim;
  const long         low  = lroundf(aim->cents - aim->room);
  const long         high = lroundf(aim->cents + aim->room);
  if (aim->room > 0) {
    const bool third =
      rl_pitch_class(aim->midi - rl_spelling_class(rl_view_key(v).tonic)) == 3; /* half steps */
    rl_text_add(text, third ? "The blue third: " : "The blue fifth: ");
    rl_text_add_int(text, low);
    rl_text_add(text, " to ");
    rl_text_add_int(text, high);
    rl_text_add(text, " cents above ");
    note_name(aim->midi, text);
  } else if (low) {
    rl_text_add(text, "Just: ");
    rl_text_add_int(text, labs(low));
    rl_text_add(text, low > 0 ? " cents high" : " cents low");
  }
}

static void
head_draw(const RlScene *const s)
{
  const RlLayout *const  l    = s->layout;
  const RlTriesOf *const of   = s->view->trainer.tries->note[s->view->trainer.on->aim.hole - 1];
  const RlTriesOf        mine = of[s->view->trainer.on->aim.technique];
  RlRect                 box  = l->head;
  char                   words[RL_WORDS_SIZE], small[RL_WORDS_SIZE];
  RlText                 text = rl_text_in(words, sizeof(words));
  RlText                 more = rl_text_in(small, sizeof(small));
  aim_words(s->view, &text);
  rl_write(&s->paint, rl_rect_cut_top(&box, box.h * 0.56),
           (RlStyle){box.h * 0.42, RL_BOLD, RL_INK_TEXT, RL_LEFT}, words);
  band_words(s->view, &more);
  if (mine.all) {
    rl_text_add(&more, more.used ? "; " : "");
    rl_text_add_int(&more, mine.held);
    rl_text_add(&more, " of ");
    rl_text_add_int(&more, mine.all);
    rl_text_add(&more, " held for a second");
  }
  rl_write(&s->paint, box, (RlStyle){l->value, RL_PLAIN, RL_INK_QUIET, RL_LEFT}, small);
}

/* ---- the gauge ---- */

static double
y_of(const RlRect box, const double off)
{
  return box.y + box.h / 2 - fmin(fmax(off / SCALE, -1), 1) * box.h / 2;
}

static void
band_draw(const RlScene *const s, const RlRect box, const double cents, const RlInk ink)
{
  const double top = y_of(box, cents);
  rl_fill_box(&s->paint, (RlRect){box.x, top, box.w, y_of(box, -cents) - top}, 0, ink);
}

/* The band: 20 cents to each side, 10 in it, and the note itself (or the edges of a zone). */
static void
bands_draw(const RlScene *const s, const RlRect box)
{
  const double   room = (double)s->view->trainer.on->aim.room;
  cairo_t *const cr   = s->paint.cr;
  rl_fill_box(&s->paint, box, fmin(6, box.h / 8), RL_INK_TOOTH);
  band_draw(s, box, room + 20, RL_INK_20);
  band_draw(s, box, room + 10, RL_INK_50);
  rl_set_ink(&s->paint, RL_INK_ON_50, 1);
  cairo_set_line_width(cr, fmax(1, box.h / 160));
  for (int side = room > 0 ? -1 : 0; side <= (room > 0); side += 2) {
    cairo_move_to(cr, box.x, y_of(box, side * room));
    cairo_line_to(cr, box.x + box.w, y_of(box, side * room));
  }
  cairo_stroke(cr);
}

static void
trace_draw(const RlScene *const s, const RlRect box, const RlTry *const one, const double seconds,
           const double width)
{
  cairo_t *const cr  = s->paint.cr;
  bool           pen = false;
  for (int i = 0; i < one->points; ++i) {
    const bool   sounds = one->trace[i] != RL_TRY_SILENT;
    const double x      = box.x + box.w * fmin(1, (i + 0.5) * (double)one->pace / seconds);
    const double y      = y_of(box, one->trace[i]);
    if (sounds) {
      (pen ? cairo_line_to : cairo_move_to)(cr, x, y);
    }
    pen = sounds;
  }
  rl_set_ink(&s->paint, RL_INK_TEXT, 1);
  cairo_set_line_width(cr, width);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke(cr);
}

/* A wedge that points at the gauge: filled on the band, hollow beside it. */
static void
needle_draw(const RlScene *const s, const RlRect plot, const double size)
{
  cairo_t *const cr  = s->paint.cr;
  const double   off = s->view->trainer.off;
  const bool     on  = fabs(off) <= (double)s->view->trainer.on->aim.room + 20;
  const double   y   = y_of(plot, off);
  const double   x   = plot.x + plot.w + 2;
  cairo_move_to(cr, x, y);
  cairo_line_to(cr, x + size, y - size * 0.6);
  cairo_line_to(cr, x + size, y + size * 0.6);
  cairo_close_path(cr);
  rl_set_ink(&s->paint, RL_INK_100, 1);
  if (on) {
    cairo_fill_preserve(cr);
  }
  cairo_set_line_width(cr, size / 8);
  cairo_stroke(cr);
}

static void
number_draw(const RlScene *const s, RlRect box)
{
  const int off = rl_trainer_needle(s->view);
  char      number[16];
  RlText    text = rl_text_in(number, sizeof(number));
  rl_text_add(&text, off > 0 ? "+" : off < 0 ? "−" : "");
  rl_text_add_int(&text, abs(off));
  box.y += box.h * 0.3;
  box.h *= 0.4;
  const RlRect under = {box.x, box.y + box.h * 0.86, box.w, s->layout->value * 1.3};
  rl_write(&s->paint, box, (RlStyle){fmin(box.h, box.w * 0.5), RL_BOLD, RL_INK_TEXT, RL_MIDDLE},
           number);
  rl_write(&s->paint, under, (RlStyle){s->layout->value, RL_PLAIN, RL_INK_QUIET, RL_MIDDLE},
           "cents");
}

static void
gauge_draw(const RlScene *const s)
{
  static const double shortest = 6; /* seconds across the gauge */
  const RlTry *const  one      = rl_trainer_try(s->view);
  const double        wedge    = s->layout->value * 2;
  RlRect              plot     = s->layout->gauge;
  if (!rl_paint_wants(&s->paint, plot)) {
    return;
  }
  RlRect side = rl_rect_cut_right(&plot, plot.w * 0.24);
  bands_draw(s, plot);
  if (one) {
    trace_draw(s, plot, one, fmax(shortest, (double)one->seconds), fmax(2, plot.h / 70));
  }
  if (s->view->trainer.sounds) {
    needle_draw(s, plot, wedge);
    rl_rect_cut_left(&side, wedge + 6);
    number_draw(s, side);
  }
}

/* ---- tries ---- */

/* All lines as large as the longest one lets them be. */
static void
words_draw(const RlScene *const s)
{
  const RlRect at    = s->layout->tried;
  RlStyle      style = {fmin(s->layout->value * 1.2, at.h / 4.2), RL_PLAIN, RL_INK_TEXT, RL_LEFT};
  char         lines[RL_TRAINER_LINES][RL_TRAINER_LINE_SIZE];
  double       widest = 1;
  if (rl_trainer_tells_problem(s->view) || !rl_paint_wants(&s->paint, at)) {
    return; /* it stands there */
  }
  rl_trainer_words(s->view, lines);
  for (int i = 0; i < RL_TRAINER_LINES; ++i) {
    widest = fmax(widest, rl_write_width(&s->paint, style, lines[i]));
  }
  style.size *= fmin(1, at.w / widest);
  for (int i = 0; i < RL_TRAINER_LINES; ++i) {
    rl_write(&s->paint, (RlRect){at.x, at.y + i * at.h / 3, at.w, at.h / 3}, style, lines[i]);
  }
}

/* One of the last tries: its trace, how long it was held, and a dot: filled if for a second. */
static void
last_draw(const RlScene *const s, const RlRect at, const RlTry *const one)
{
  RlRect         box  = at;
  cairo_t *const cr   = s->paint.cr;
  RlRect         foot = rl_rect_cut_bottom(&box, at.h * 0.28);
  char           words[RL_WORDS_SIZE];
  RlText         text = rl_text_in(words, sizeof(words));
  bands_draw(s, box);
  if (!one) {
    return;
  }
  trace_draw(s, box, one, (double)one->seconds, fmax(1, box.h / 45));
  const long tenths = lroundf(one->longest[RL_ROUGH] * 10);
  rl_text_add_int(&text, tenths / 10);
  rl_text_add(&text, ".");
  rl_text_add_int(&text, tenths % 10);
  const double r = foot.h * 0.2;
  cairo_new_sub_path(cr);
  cairo_arc(cr, foot.x + 2 * r, foot.y + foot.h * 0.56, r, 0, 6.2832);
  rl_set_ink(&s->paint, RL_INK_100, 1);
  if (rl_try_held(one)) {
    cairo_fill_preserve(cr);
  }
  cairo_set_line_width(cr, fmax(1, r / 3));
  cairo_stroke(cr);
  rl_rect_cut_left(&foot, 3.6 * r);
  rl_rect_cut_top(&foot, foot.h * 0.12);
  rl_write(&s->paint, foot,
           (RlStyle){fmin(foot.h * 0.8, s->layout->value), RL_PLAIN, RL_INK_TEXT, RL_LEFT}, words);
}

/* Side by side, the newest on the right. */
static void
last_tries_draw(const RlScene *const s)
{
  const RlTrainer *const t   = s->view->trainer.on;
  const RlRect           all = s->layout->last_tries;
  const double           gap = all.w / 120;
  const double           w   = (all.w - gap * (RL_TRIES_KEPT - 1)) / RL_TRIES_KEPT;
  if (!rl_paint_wants(&s->paint, all)) {
    return;
  }
  for (int i = 0; i < RL_TRIES_KEPT; ++i) {
    const int back = RL_TRIES_KEPT - 1 - i;
    last_draw(s, (RlRect){all.x + i * (w + gap), all.y, w, all.h},
              back < t->count ? &t->last[back] : NULL);
  }
}

void
rl_draw_trainer(const RlScene *const s)
{
  rail_draw(s);
  row_words_draw(s);
  for (int i = 0; i < s->layout->spots; ++i) {
    const RlSpot *const spot = &s->layout->spot[i];
    if (spot->action.kind == RL_ACTION_AIM &&
        rl_paint_wants(&s->paint, rl_rect_inset(spot->at, -4))) {
      aim_draw(s, spot);
    }
  }
  head_draw(s);
  gauge_draw(s);
  words_draw(s);
  last_tries_draw(s);
}
