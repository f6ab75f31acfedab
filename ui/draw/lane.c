/* SPDX-License-Identifier: ISC */
#include "ui/draw/lane.h"

#include "ui/model/music_signs.h"

#include <assert.h>
#include <math.h>

/* ---- measures ---- */

/* One bar of the lane and where its parts stand, in units. */
typedef struct {
  const RlScene   *s;
  const RlLaneBar *bar;
  RlRect           at, head;
  double           line;        /* y of the line of time */
  double           figure, low; /* font sizes of hole and degree */
  double           now;         /* ticks */
} Lane;

static Lane
lane_of(const RlScene *const s, const RlLaneBar *const bar, const RlRect at, const double now)
{
  const double h = at.h;
  Lane         l = {s, bar, at, at, at.y + h * 0.52, h * 0.25, h * 0.125, now};
  l.head         = (RlRect){at.x + h * 0.08, at.y + h * 0.05, at.w - h * 0.16, h * 0.16};
  return l;
}

static double
x_of(const Lane *const l, const double ticks)
{
  return rl_lane_x(l->at, l->bar, ticks);
}

/* ---- what stands above ---- */

static void
bar_name(const RlView *const v, const RlPlace *const place, RlText *const text)
{
  const bool ending = place->part == RL_PART_ENDING;
  if (place->bar < 0) {
    rl_text_add(text, "lead-in ");
    rl_text_add_int(text, -place->bar);
    return;
  }
  rl_text_add(text, ending ? "ending " : "bar ");
  rl_text_add_int(text, place->bar - (ending ? v->form->bars : 0));
}

/* The names of the chords of a bar, in the key that is played. */
static void
chords_name(const RlView *const v, const RlPlace *const place, RlText *const text)
{
  if (place->index < 0) {
    return;
  }
  const RlBar *const bar = &v->form->bar[place->index];
  for (int i = 0; i < bar->chords; ++i) {
    char            ascii[RL_CHORD_SIZE];
    RlText          name = rl_text_in(ascii, sizeof(ascii));
    const RlHarmony h = rl_harmony_of(v->form->chord[bar->first_chord + i].chord, rl_view_key(v));
    rl_harmony_name(&h, &name);
    rl_text_add(text, i ? " " : "");
    rl_music_signs(ascii, text);
  }
}

static bool
answers(const Lane *const l)
{
  return l->bar->place.bar > 0 && rl_plan_answers(l->s->view->plan, l->bar->place.bar);
}

/* Does no note begin in this bar? */
static bool
bar_free(const Lane *const l)
{
  const RlLaneOnset n = rl_lane_first(l->s->view->lane, l->s->view->form, l->bar->from);
  return n.index < 0 || n.at >= l->bar->to;
}

/* The phrase of the first note of this bar, and how it was moved. */
static void
phrase_name(const Lane *const l, RlText *const text)
{
  const RlView *const v = l->s->view;
  const RlLaneOnset   n = rl_lane_first(v->lane, v->form, l->bar->from);
  if (bar_free(l)) {
    return;
  }
  const RlPlanned *const p = &v->plan->planned[v->lane->note[n.index].planned];
  rl_text_add(text, v->plan->phrase[p->phrase].title);
  rl_text_add(text, p->move == RL_MOVE_NOT ? "" : ", ");
  rl_text_add(text, p->move == RL_MOVE_NOT ? "" : rl_move_name((RlMove)p->move));
}

static void
head_draw(const Lane *const l)
{
  char           words[3][RL_WORDS_SIZE + RL_PHRASE_TITLE_SIZE];
  const RlView  *v     = l->s->view;
  const RlPaint *paint = &l->s->paint;
  RlRect         box   = l->head;
  const double   size  = box.h * 0.78;
  RlText         bar   = rl_text_in(words[0], sizeof(words[0]));
  RlText         chord = rl_text_in(words[1], sizeof(words[1]));
  RlText         name  = rl_text_in(words[2], sizeof(words[2]));
  const RlStyle  quiet = {size, RL_PLAIN, RL_INK_QUIET, RL_LEFT};
  const RlStyle  loud  = {size, RL_BOLD, RL_INK_NEXT_NAME, RL_LEFT};
  bar_name(v, &l->bar->place, &bar);
  chords_name(v, &l->bar->place, &chord);
  phrase_name(l, &name);
  rl_write(paint,
           rl_rect_cut_left(&box, fmin(box.w * 0.3, rl_write_width(paint, quiet, words[0]) + 1)),
           quiet, words[0]);
  rl_rect_cut_left(&box, size * 0.5);
  rl_write(paint,
           rl_rect_cut_left(&box, fmin(box.w * 0.5, rl_write_width(paint, loud, words[1]) + 1)),
           loud, words[1]);
  rl_rect_cut_left(&box, size);
  if (answers(l) && !bar_free(l)) {
    const RlStyle blue = {size, RL_BOLD, RL_INK_DROP, RL_LEFT};
    rl_write(paint, rl_rect_cut_left(&box, fmin(box.w, rl_write_width(paint, blue, "answer") + 1)),
             blue, "answer");
    rl_rect_cut_left(&box, size * 0.5);
  }
  if (box.w >
      0.7 * rl_write_width(paint, quiet, words[2])) { /* else it would be too small to read */
    rl_write(paint, box, quiet, words[2]);
  }
}

/* ---- the line of time ---- */

static void
line_draw(const Lane *const l)
{
  cairo_t *const cr    = l->s->paint.cr;
  const double   beats = l->bar->place.beats;
  const double   h     = l->at.h;
  rl_set_ink(&l->s->paint, RL_INK_BAR_LINE, 1);
  cairo_set_line_width(cr, h / 60);
  cairo_move_to(cr, l->at.x, l->line);
  cairo_line_to(cr, l->at.x + l->at.w, l->line);
  cairo_move_to(cr, l->at.x + l->at.w, l->at.y + h * 0.24);
  cairo_line_to(cr, l->at.x + l->at.w, l->at.y + h * 0.78);
  for (int i = 1; i < beats; ++i) {
    const double x = x_of(l, l->bar->from + (l->bar->to - l->bar->from) * i / beats);
    cairo_move_to(cr, x, l->line - h / 30);
    cairo_line_to(cr, x, l->line + h / 30);
  }
  cairo_stroke(cr);
}

/* ---- notes ---- */

/* Is it perhaps no note? Known of the selected phrase, not of the plan. */
static bool
perhaps(const Lane *const l, const RlLaneOnset *const n)
{
  const RlView *const v   = l->s->view;
  bool                any = false;
  for (int i = 0; v->plan == v->phrases.plan && i < v->phrases.onsets; ++i) {
    any = any || (v->phrases.onset[i].perhaps && fabs(rl_lane_onset(v, i) - n->at) < 1);
  }
  return any;
}

/* The width for a note's figures: up to where the next note begins. */
static double
figures_width(const Lane *const l, const RlLaneOnset *const n)
{
  const RlView *const v    = l->s->view;
  RlLaneOnset         next = rl_lane_next(v->lane, v->form, *n);
  while (next.index >= 0 && next.at <= n->at) {
    next = rl_lane_next(v->lane, v->form, next);
  }
  const double end = next.index >= 0 && next.at < l->bar->to ? next.at : l->bar->to;
  return x_of(l, end) - x_of(l, n->at);
}

/* Writes the holes that are blown, or drawn, at once: `2+3`; with `with_degree` also the degree of
   the highest. False if there are none, or they would be too small to read. */
static bool
figures_draw(const Lane *const l, const RlLaneOnset *const from, const bool draws, const bool past,
             const bool with_degree)
{
  const bool          doubt = perhaps(l, from);
  const RlView *const v     = l->s->view;
  const double        h     = l->at.h;
  const double        size  = l->figure;
  const double        x     = x_of(l, from->at);
  const double        w     = fmax(fmin(figures_width(l, from), size * 3) - h * 0.02, 2);
  const double        y     = draws ? l->line + h * 0.08 : l->line - h * 0.08 - size * 0.8;
  char                tab[RL_WORDS_SIZE], degree[RL_WORDS_SIZE];
  RlText              holes = rl_text_in(tab, sizeof(tab));
  RlText              name  = rl_text_in(degree, sizeof(degree));
  RlLaneOnset         n     = *from;
  for (; n.index >= 0 && n.at <= from->at; n = rl_lane_next(v->lane, v->form, n)) {
    const RlLaneNote *const note = &v->lane->note[n.index];
    char                    one[16];
    RlText                  hole = rl_text_in(one, sizeof(one));
    if (rl_technique_draws((RlTechnique)note->tab.technique) == draws) {
      rl_tab_write(note->tab.hole, (RlTechnique)note->tab.technique, &hole);
      rl_text_add(&holes, holes.used ? "+" : "");
      rl_text_add(&holes, one + draws); /* without its sign: the row tells blow from draw */
      name = rl_text_in(degree, sizeof(degree));
      rl_music_signs(rl_degree_name((RlDegree)note->degree), &name);
    }
  }
  if (!holes.used) {
    return false;
  }
  const RlInk   ink   = past || doubt ? RL_INK_QUIET : RL_INK_TEXT;
  const RlStyle style = {size, RL_BOLD, ink, RL_LEFT};
  if (w < 0.25 * rl_write_width(&l->s->paint, style, tab)) { /* too small to read */
    return false;
  }
  rl_write(&l->s->paint, (RlRect){x, y, w, size * 0.8}, style, tab);
  if (with_degree) {
    rl_write(&l->s->paint, (RlRect){x, l->at.y + h * 0.84, w, l->low},
             (RlStyle){l->low, RL_BOLD, past ? RL_INK_QUIET : RL_INK_90, RL_LEFT}, degree);
  }
  return true;
}

/* A slanted stroke from or to the line, for a scoop or a fall. */
static void
slant_draw(const RlPaint *const paint, const double x, const double y, const double across,
           const double down)
{
  cairo_move_to(paint->cr, x, y);
  cairo_line_to(paint->cr, x + across, y + down);
  cairo_stroke(paint->cr);
}

/* A scoop begins below the line, a fall ends there. */
static void
slants_draw(const Lane *const l, const RlLaneNote *const n, const RlRect at, const bool past)
{
  const double thick = at.h;
  rl_set_ink(&l->s->paint, past ? RL_INK_QUIET : RL_INK_TEXT, 1);
  cairo_set_line_width(l->s->paint.cr, thick / 2);
  if (n->articulation & RL_ARTICULATION_SCOOP) {
    slant_draw(&l->s->paint, at.x + thick * 0.4, l->line, -thick * 1.6, thick * 2);
  }
  if (n->articulation & RL_ARTICULATION_FALL) {
    slant_draw(&l->s->paint, at.x + at.w - thick * 0.4, l->line, thick * 1.6, thick * 2);
  }
}

/* The line of a note, as long as it lasts. A slur joins it to the next. */
static void
stroke_draw(const Lane *const l, const RlLaneNote *const n, const double x, const double end,
            const bool past, const bool sounds, const bool doubt)
{
  const RlPaint *const paint = &l->s->paint;
  const double         thick = l->at.h * 0.05;
  const bool   slur = n->articulation & RL_ARTICULATION_SLUR && !(n->tab.marks & RL_TAB_NO_SLUR);
  const double to   = slur ? end : end - thick * 0.7;
  const RlRect at   = {x, l->line - thick / 2, fmax(to - x, thick), thick};
  if (sounds) {
    rl_fill_box(paint, rl_rect_inset(at, -thick * 0.6), thick, RL_INK_50);
  }
  if (doubt) {
    const double dash[] = {thick * 0.6, thick * 0.6};
    rl_fill_box(paint, at, thick / 2, RL_INK_TOOTH);
    rl_set_ink(paint, RL_INK_QUIET, 1);
    cairo_set_dash(paint->cr, dash, 2, 0);
    cairo_set_line_width(paint->cr, thick);
    cairo_move_to(paint->cr, at.x, l->line);
    cairo_line_to(paint->cr, at.x + at.w, l->line);
    cairo_stroke(paint->cr);
    cairo_set_dash(paint->cr, NULL, 0, 0);
  } else if (n->tab.marks & RL_TAB_IS_REPLACED) {
    rl_fill_box(paint, at, thick / 2, RL_INK_GROUND);
    rl_edge_box(paint, at, thick / 2, thick / 4, past ? RL_INK_QUIET : RL_INK_TEXT);
  } else {
    rl_fill_box(paint, at, thick / 2, past ? RL_INK_QUIET : RL_INK_TEXT);
  }
  slants_draw(l, n, at, past);
}

/* Was any of the notes that begin together played? */
static bool
any_hit(const RlView *const v, const RlLaneOnset *const from)
{
  bool        hit = false;
  RlLaneOnset n   = *from;
  for (; n.index >= 0 && n.at <= from->at; n = rl_lane_next(v->lane, v->form, n)) {
    const RlTab *const tab = &v->lane->note[n.index].tab;
    hit                    = hit || rl_view_hit(v, tab->hole, (RlTechnique)tab->technique, n.at);
  }
  return hit;
}

/* Where a note begins, while the player is listened to: hollow until it was played, then filled. */
static void
begin_draw(const Lane *const l, const RlLaneOnset *const n, const bool past)
{
  cairo_t *const cr  = l->s->paint.cr;
  const bool     hit = any_hit(l->s->view, n);
  const double   r   = l->at.h * 0.05;
  cairo_new_path(cr);
  cairo_arc(cr, x_of(l, n->at) + r * 0.8, l->line, r, 0, 6.2832);
  rl_set_ink(&l->s->paint, hit ? RL_INK_100 : RL_INK_TOOTH, 1);
  cairo_fill_preserve(cr);
  rl_set_ink(&l->s->paint, hit ? RL_INK_100 : past ? RL_INK_QUIET : RL_INK_TEXT, 1);
  cairo_set_line_width(cr, r * 0.5);
  cairo_stroke(cr);
}

/* A mark where there are no figures: above the line or below it. */
static void
doubt_draw(const Lane *const l, const RlLaneOnset *const n, const bool above)
{
  const double size = l->figure * 0.9;
  const double y    = above ? l->line - l->at.h * 0.08 - size * 0.8 : l->line + l->at.h * 0.08;
  rl_write(&l->s->paint, (RlRect){x_of(l, n->at), y, size, size * 0.8},
           (RlStyle){size, RL_BOLD, RL_INK_NEXT_NAME, RL_LEFT}, "?");
}

static void
notes_draw(const Lane *const l)
{
  const RlView *const v      = l->s->view;
  RlLaneOnset         n      = rl_lane_first(v->lane, v->form, l->bar->from);
  double              before = -HUGE_VAL;
  for (; n.index >= 0 && n.at < l->bar->to; n = rl_lane_next(v->lane, v->form, n)) {
    const RlLaneNote *const note   = &v->lane->note[n.index];
    const double            end    = fmin(n.at + n.lasts, l->bar->to);
    const bool              past   = n.at + n.lasts <= l->now;
    const bool              sounds = n.at <= l->now && !past;
    if (n.at > before) { /* notes that sound together are drawn once */
      stroke_draw(l, note, x_of(l, n.at), x_of(l, end), past, sounds, perhaps(l, &n));
      const bool blown = figures_draw(l, &n, false, past, true);
      figures_draw(l, &n, true, past, !blown);
      if (perhaps(l, &n)) {
        doubt_draw(l, &n, !blown);
      }
      if (rl_view_listens(v)) {
        begin_draw(l, &n, past);
      }
    }
    before = n.at;
  }
}

/* ---- the light, and call and response ---- */

/* The light: where the music is on the line. */
static void
light_draw(const Lane *const l)
{
  const double w = l->at.h * 0.045;
  const double h = l->at.h * 0.13;
  if (l->now < l->bar->from || l->now >= l->bar->to) {
    return;
  }
  const double x = x_of(l, l->now);
  rl_glow(&l->s->paint, x, l->line, l->at.h * 0.2, l->at.h * 0.16, 0.8, 1);
  rl_fill_box(&l->s->paint, (RlRect){x - w / 2, l->line - h / 2, w, h}, w / 2, RL_INK_100);
}

/* `answer` in large letters, where no note is in the way: the pupil plays. */
static void
answer_draw(const Lane *const l)
{
  const RlRect box = {l->at.x + 2, l->at.y + l->at.h * 0.26, l->at.w - 4, l->at.h * 0.2};
  if (bar_free(l) && answers(l)) {
    rl_write(&l->s->paint, box, (RlStyle){box.h, RL_BOLD, RL_INK_DROP, RL_MIDDLE}, "answer");
  }
}

void
rl_draw_lane(const RlScene *const s)
{
  const RlRect all = s->layout->lane;
  RlLaneBar    bars[RL_LANE_BARS_MAX];
  double       now = 0;
  if (all.w <= 0 || !rl_paint_sees(&s->paint, all)) {
    return;
  }
  const int count = rl_lane_in_sight(s->view, s->layout->lane_bars, bars, &now);
  rl_fill_box(&s->paint, all, fmin(12, all.h / 10), RL_INK_TOOTH);
  for (int i = 0; i < count; ++i) {
    const Lane l = lane_of(s, &bars[i], rl_lane_bar_at(s->layout, all, i),
                           i ? -HUGE_VAL : now); /* a loop may bring a bar that is past */
    if (!rl_paint_sees(&s->paint, l.at)) {
      continue;
    }
    line_draw(&l);
    head_draw(&l);
    answer_draw(&l);
    notes_draw(&l);
    light_draw(&l);
  }
}
