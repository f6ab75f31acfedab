/* SPDX-License-Identifier: ISC */
#include "ui/draw/practice.h"

#include "ui/layout/practice.h"

#include <math.h>

/* ---- words ---- */

void
rl_practice_words(const RlView *const v, const bool all, char words[RL_PRACTICE_WORDS_SIZE])
{
  static const char *const     more[RL_SHOWS] = {[RL_SHOW_CHORD] = ". Chord tones are lit now.",
                                                 [RL_SHOW_SAFE] = ". Safe and blue notes are lit now.",
                                                 [RL_SHOW_ALL] = ". All notes are lit now."};
  const RlPracticeShown *const p              = v->practice;
  RlText                       text           = rl_text_in(words, RL_PRACTICE_WORDS_SIZE);
  if (p && p->count) {
    (all ? rl_practice_line_say : rl_practice_line_brief)(&p->line[p->count - 1], &text);
    words[0] = words[0] == 'c' ? 'C' : words[0];
    rl_text_add(&text, rl_view_grown(v) ? more[rl_view_show(v)] : "");
  }
}

void
rl_draw_chorus(const RlScene *const s)
{
  const RlRect box = s->layout->chorus;
  char         words[RL_PRACTICE_WORDS_SIZE];
  if (box.w > 0 && rl_paint_wants(&s->paint, box)) {
    rl_practice_words(s->view, false, words);
    rl_write_lines(&s->paint, box,
                   (RlStyle){s->layout->value * 0.94, RL_PLAIN, RL_INK_TEXT, RL_LEFT}, words,
                   box.h > 60 ? 3 : 2);
  }
}

/* ---- a panel ---- */

enum { STEPS = 5 };

/* The better, the brighter: as the lamps are. */
static const struct {
  RlInk middle, edge;
} brightness[STEPS] = {{RL_INK_20, RL_INK_20},
                       {RL_INK_50, RL_INK_50_EDGE},
                       {RL_INK_70, RL_INK_70_EDGE},
                       {RL_INK_90, RL_INK_90_EDGE},
                       {RL_INK_100, RL_INK_100_EDGE}};

static const RlInk part_ink[RL_PANEL_PARTS] = {RL_INK_100, RL_INK_90, RL_INK_70, RL_INK_50,
                                               RL_INK_20};

/* Where the bars of a panel stand: the newest at the right, a gap between days. */
typedef struct {
  RlRect plot;
  double pitch, gap;
  int    first; /* the first chorus that has room */
} Bars;

static double
width_from(const RlPracticeShown *const p, const int first, const Bars *const b)
{
  double w = 0;
  for (int i = first; i < p->count; ++i) {
    const bool new_day =
      i > first && rl_practice_day(&p->line[i]) != rl_practice_day(&p->line[i - 1]);
    w += b->pitch + (new_day ? b->gap : 0);
  }
  return w;
}

static Bars
bars_in(const RlPracticeShown *const p, const RlRect plot)
{
  Bars b = {.plot = plot, .pitch = fmin(34, fmax(7, plot.w / 24)), .first = p->count};
  b.gap  = b.pitch * 1.2;
  while (b.first > 0 && width_from(p, b.first - 1, &b) <= plot.w) {
    --b.first;
  }
  return b;
}

static void
bar_draw(const RlScene *const s, const RlRect at, const double good)
{
  const int    step = (int)fmin(STEPS - 1, floor(good * STEPS));
  const double high = fmax(2, at.h * good);
  const RlRect bar  = {at.x, at.y + at.h - high, at.w, high};
  rl_glass_box(&s->paint, bar, fmin(3, fmin(bar.w, bar.h) / 2), brightness[step].middle,
               brightness[step].edge);
}

/* Which notes there were: what tells the chord at the foot. */
static void
parts_draw(const RlScene *const s, const RlRect at, const RlTally *const t)
{
  double y = at.y + at.h;
  for (int n = 0; n < RL_PANEL_PARTS; ++n) {
    const double h = at.h * rl_panel_part(t, n);
    y -= h;
    if (h > 0) {
      rl_fill_box(&s->paint, (RlRect){at.x, y, at.w, fmax(1, h - 1)}, 0, part_ink[n]);
    }
  }
}

static void
day_draw(const RlScene *const s, const Bars *const b, const double x, const double end,
         const RlPracticeLine *const line)
{
  char          words[RL_WORDS_SIZE];
  RlText        text  = rl_text_in(words, sizeof(words));
  const double  size  = s->layout->label;
  const RlRect  at    = {x, b->plot.y + b->plot.h + 2, fmax(end - x, b->pitch), size * 1.3};
  const RlStyle style = {size, RL_PLAIN, RL_INK_QUIET, RL_LEFT};
  rl_practice_day_write(line, &text);
  if (rl_write_width(&s->paint, style, words) <= at.w + b->gap / 2) {
    rl_write(&s->paint, at, style, words);
  }
}

static void
bars_draw(const RlScene *const s, const RlPanel panel, const RlRect plot)
{
  const RlPracticeShown *const p = s->view->practice;
  const Bars                   b = bars_in(p, plot);
  double                       x = plot.x, day_x = plot.x;
  for (int i = b.first; i < p->count; ++i) {
    const RlTally *const t    = &p->line[i].tally;
    const double         good = rl_panel_good(panel, t);
    const bool           new_day =
      i > b.first && rl_practice_day(&p->line[i]) != rl_practice_day(&p->line[i - 1]);
    if (new_day) {
      day_draw(s, &b, day_x, x, &p->line[i - 1]);
      x += b.gap;
      day_x = x;
    }
    const RlRect at = {x, plot.y, b.pitch * 0.72, plot.h};
    if (good >= 0 && panel == RL_PANEL_ROLES) {
      parts_draw(s, at, t);
    } else if (good >= 0) {
      bar_draw(s, at, good);
    }
    x += b.pitch;
  }
  if (p->count) {
    day_draw(s, &b, day_x, fmax(x, day_x + 3 * b.pitch), &p->line[p->count - 1]);
  }
}

static void
panel_draw(const RlScene *const s, const RlPanel panel, RlRect box)
{
  const RlPracticeShown *const p = s->view->practice;
  char                         words[RL_WORDS_SIZE];
  RlText                       text = rl_text_in(words, sizeof(words));
  const double                 size = s->layout->value;
  rl_fill_box(&s->paint, box, 8, RL_INK_TOOTH);
  box         = rl_rect_inset(box, fmin(12, box.h / 12));
  RlRect head = rl_rect_cut_top(&box, size * 1.4);
  rl_rect_cut_bottom(&box, s->layout->label * 1.5);
  rl_rect_cut_top(&box, size * 0.4);
  rl_panel_words(panel, &p->line[p->count - 1].tally, &text);
  rl_write(&s->paint, rl_rect_cut_right(&head, head.w * 0.4),
           (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_RIGHT}, words);
  rl_write(&s->paint, head, (RlStyle){size * 0.94, RL_PLAIN, RL_INK_QUIET, RL_LEFT},
           rl_panel_title(panel));
  rl_set_ink(&s->paint, RL_INK_RAIL, 1);
  cairo_rectangle(s->paint.cr, box.x, box.y + box.h, box.w, 1);
  cairo_fill(s->paint.cr);
  bars_draw(s, panel, box);
}

/* ---- the screen ---- */

void
rl_draw_practice(const RlScene *const s)
{
  static const char empty[] =
    "Nothing has been counted for this song yet. Let Reedlamp hear you (hear me), press play, and "
    "play a chorus: after it a line says what you landed on, and here choruses stand side by side.";
  const RlLayout *const        l    = s->layout;
  const RlPracticeShown *const p    = s->view->practice;
  const bool                   any  = p && p->count;
  RlRect                       head = l->head;
  char                         words[RL_PRACTICE_WORDS_SIZE];
  rl_write(&s->paint, rl_rect_cut_top(&head, l->name * 1.2),
           (RlStyle){l->name * 0.86, RL_BOLD, RL_INK_TEXT, RL_LEFT}, "Practice");
  rl_practice_words(s->view, l->shape == RL_SHAPE_FULL, words);
  rl_write_lines(&s->paint, head, (RlStyle){l->value, RL_PLAIN, RL_INK_TEXT, RL_LEFT},
                 any ? words : empty, head.h > l->value * 2.6 ? 2 : 1);
  for (int panel = 0; any && panel < RL_PANELS; ++panel) {
    panel_draw(s, (RlPanel)panel, rl_practice_panel(l, panel));
  }
}
