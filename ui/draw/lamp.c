/* SPDX-License-Identifier: ISC */
#include "ui/draw/lamp.h"

#include "ui/draw/fill.h"
#include "ui/model/music_signs.h"

#include <math.h>

RlRect
rl_lamp_reach(const RlRect cell)
{
  return (RlRect){cell.x - 0.6 * cell.w, cell.y - 0.6 * cell.h, 2.2 * cell.w, 2.2 * cell.h};
}

/* ---- glass ---- */

typedef enum {
  GLASS_OFF,
  GLASS_20,
  GLASS_RUB,
  GLASS_50,
  GLASS_BLUE,
  GLASS_70,
  GLASS_90,
  GLASS_100
} Glass;

/* How the glass of each worth looks; see README.md. */
static const struct {
  RlInk  middle, edge, figure;
  double width, height; /* part of the socket's */
  double words;         /* size of the degree against a full one */
  double halo;          /* 0: none */
} glasses[] = {
  [GLASS_OFF]  = {RL_INK_EDGE, RL_INK_EDGE, RL_INK_QUIET, 0, 0, 0, 0},
  [GLASS_20]   = {RL_INK_20, RL_INK_20, RL_INK_ON_20, 0.73, 0.61, 0.71, 0},
  [GLASS_RUB]  = {RL_INK_RUB, RL_INK_RUB, RL_INK_ON_RUB, 0.73, 0.61, 0.71, 0},
  [GLASS_50]   = {RL_INK_50, RL_INK_50_EDGE, RL_INK_ON_50, 0.93, 0.89, 1, 0},
  [GLASS_BLUE] = {RL_INK_BLUE, RL_INK_BLUE_EDGE, RL_INK_ON_BLUE, 0.93, 0.89, 1, 0},
  [GLASS_70]   = {RL_INK_70, RL_INK_70_EDGE, RL_INK_ON_LIGHT, 0.93, 0.89, 1, 0},
  [GLASS_90]   = {RL_INK_90, RL_INK_90_EDGE, RL_INK_ON_LIGHT, 1, 1, 1, 0.6},
  [GLASS_100]  = {RL_INK_100, RL_INK_100_EDGE, RL_INK_ON_LIGHT, 1, 1, 1, 1},
};

_Static_assert(sizeof(glasses) / sizeof(glasses[0]) == GLASS_100 + 1, "a look for each glass");

static Glass
glass_of(const RlWorth w)
{
  static const Glass of_role[RL_ROLES] = {
    [RL_ROLE_OFF] = GLASS_OFF,   [RL_ROLE_REACH] = GLASS_OFF, [RL_ROLE_PASS] = GLASS_20,
    [RL_ROLE_SAFE] = GLASS_50,   [RL_ROLE_BLUE] = GLASS_BLUE, [RL_ROLE_CHORD] = GLASS_70,
    [RL_ROLE_FIFTH] = GLASS_70,  [RL_ROLE_ROOT] = GLASS_90,   [RL_ROLE_SEVENTH] = GLASS_100,
    [RL_ROLE_THIRD] = GLASS_100,
  };
  return w.role == RL_ROLE_BLUE && w.brightness < 0.5F ? GLASS_RUB : of_role[w.role];
}

/* Measures of a lamp, in units, from its cell. */
typedef struct {
  double x, y;   /* middle */
  double w, h;   /* socket */
  double k;      /* scale against a lamp of the full window */
  double radius; /* corners */
  double size;   /* of the degree */
} Lamp;

static Lamp
lamp_in(const RlRect c)
{
  const double k = fmin(1.4, fmin(c.w, c.h) / 76);
  Lamp         l = {
            c.x + c.w / 2, c.y + c.h / 2, c.w - 16 * fmin(1, k), c.h - 18 * fmin(1, k), k, 12 * k, 0};
  l.size = fmin(0.52 * l.w, 0.8 * l.h);
  return l;
}

static RlRect
middle(const Lamp *const l, const double w, const double h)
{
  return (RlRect){l->x - w / 2, l->y - h / 2, w, h};
}

static void
drop(const RlScene *const s, const double x, const double y, const double r, const RlInk ink,
     const RlInk around)
{
  cairo_t *const cr = s->paint.cr;
  rl_set_ink(&s->paint, around, 1);
  cairo_arc(cr, x, y, r * 1.43, 0, 6.2832);
  cairo_fill(cr);
  rl_set_ink(&s->paint, ink, 1);
  cairo_arc(cr, x, y, r, 0, 6.2832);
  cairo_fill(cr);
}

static void
figure(const RlScene *const s, const RlRect box, const double size, const RlInk ink,
       const RlCell *const cell, const RlDegree degree, const RlAlign align)
{
  char   words[RL_WORDS_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  if (s->view->note_names) {
    char   name[RL_NAME_SIZE];
    RlText ascii = rl_text_in(name, sizeof(name));
    /* spelled as a degree of its chord; of the key where no chord sounds */
    RlChord           chord;
    const char *const about = degree == cell->next && degree != cell->now.degree
                                ? s->view->report.next_degree
                                : s->view->report.now_degree;
    RlSpelling        root  = rl_view_key(s->view).tonic;
    if (rl_chord_read(rl_slice(about), &chord) == RL_CHORD_OK) {
      const RlKey     key = rl_view_key(s->view);
      const RlHarmony h   = rl_harmony_of(rl_chord_in_key(chord, key), key);
      root                = h.sounding ? h.root : root;
    }
    rl_spelling_write(rl_degree_spelling(degree, root), &ascii);
    rl_music_signs(name, &text);
  } else {
    rl_music_signs(rl_degree_name(degree), &text);
  }
  rl_write(&s->paint, box, (RlStyle){size, align == RL_MIDDLE, ink, align}, words);
}

/* The glass of a blue note that may be held: a bite out of its lower right corner, a drop in it. */
static void
blue_glass(const RlScene *const s, const RlRect b, const Lamp *const l)
{
  cairo_t *const cr          = s->paint.cr;
  const double   in          = 2.5 * l->k;
  const double   bite        = 10 * l->k;
  const double   far         = sqrt(bite * bite - in * in);
  const double   right       = b.x + b.w;
  const double   low         = b.y + b.h;
  const double   r           = l->radius;
  const double   right_angle = 1.5708;
  cairo_new_sub_path(cr);
  cairo_arc(cr, b.x + r, b.y + r, r, -2 * right_angle, -right_angle);
  cairo_arc(cr, right - r, b.y + r, r, -right_angle, 0);
  cairo_arc_negative(cr, right - in, low - in, bite, atan2(-far, in), atan2(in, -far));
  cairo_arc(cr, b.x + r, low - r, r, right_angle, 2 * right_angle);
  cairo_close_path(cr);
  rl_glass_fill(&s->paint, b, RL_INK_BLUE, RL_INK_BLUE_EDGE);
  rl_set_ink(&s->paint, RL_INK_DROP, 1);
  cairo_arc(cr, right - in, low - in, 7 * l->k, 0, 4 * right_angle);
  cairo_fill(cr);
}

/* The glass of a lamp and the degree on it; a dot where the note is worth nothing. */
static void
glass_draw(const RlScene *const s, const Lamp *const l, const RlCell *const cell, const RlWorth w)
{
  const Glass  g    = glass_of(w);
  const RlRect b    = middle(l, l->w * glasses[g].width, l->h * glasses[g].height);
  const double size = l->size * glasses[g].words;
  if (g == GLASS_OFF) {
    rl_set_ink(&s->paint, RL_INK_EDGE, 1);
    cairo_arc(s->paint.cr, l->x, l->y, 4 * l->k, 0, 6.2832);
    cairo_fill(s->paint.cr);
    return;
  }
  if (g == GLASS_BLUE) {
    blue_glass(s, b, l);
  } else {
    rl_glass_box(&s->paint, b, l->radius * (g <= GLASS_RUB ? 0.67 : 1), glasses[g].middle,
                 glasses[g].edge);
  }
  figure(s, rl_rect_inset(b, 3 * l->k), size, glasses[g].figure, cell, w.degree, RL_MIDDLE);
  if (w.blue && g != GLASS_BLUE && g >= GLASS_RUB) {
    const double in = g == GLASS_RUB ? 1 : 3.5;
    drop(s, b.x + b.w - in * l->k, b.y + b.h - in * l->k, (g == GLASS_RUB ? 5.25 : 7) * l->k,
         RL_INK_FLAG, RL_INK_TOOTH);
  }
}

/* ---- the next chord ---- */

/* The frame of a tone of the next chord, filled from its foot up to `fill` (0 to 1). */
static void
frame_draw(const RlScene *const s, const Lamp *const l, const double fill, const bool target)
{
  cairo_t *const cr     = s->paint.cr;
  const double   k      = fmin(1, l->k);
  const RlRect   b      = middle(l, l->w + 8 * k, l->h + 8 * k);
  const double   radius = l->radius + 4 * k;
  if (fill > 0) {
    cairo_save(cr);
    cairo_rectangle(cr, b.x, b.y + b.h * (1 - fill), b.w, b.h);
    cairo_clip(cr);
    rl_fill_box(&s->paint, b, radius, RL_INK_NEXT_FILL);
    cairo_restore(cr);
  }
  rl_edge_box(&s->paint, b, radius, (target ? 4 : 2.5) * fmax(0.6, l->k),
              target ? RL_INK_TARGET : RL_INK_NEXT_EDGE);
}

/* Two wedges that point at the lamp to land on. */
static void
target_draw(const RlScene *const s, const Lamp *const l)
{
  cairo_t *const cr   = s->paint.cr;
  const double   k    = l->k;
  const double   out  = l->w / 2 + 8 * fmin(1, k);
  const double   size = 15 * k;
  for (int side = -1; side <= 1; side += 2) {
    const double tip = l->x + side * (out - 9 * k);
    cairo_move_to(cr, tip, l->y);
    cairo_line_to(cr, tip + side * size, l->y - size * 0.85);
    cairo_line_to(cr, tip + side * size, l->y + size * 0.85);
    cairo_close_path(cr);
    rl_set_ink(&s->paint, RL_INK_TARGET, 1);
    cairo_fill_preserve(cr);
    rl_set_ink(&s->paint, RL_INK_GROUND, 1);
    cairo_set_line_width(cr, 2.5 * k);
    cairo_stroke(cr);
  }
}

/* Inside a frame whose lamp is worth little now: the degree in the next chord, large; the present
   one small in the corner where there is room for it. */
static void
coming_draw(const RlScene *const s, const Lamp *const l, const RlCell *const cell)
{
  const double size = l->size;
  const bool   corner =
    l->h > 50 && l->w > 40 && cell->now.role != RL_ROLE_OFF && !s->view->note_names;
  const RlRect b     = middle(l, l->w, l->h);
  const double lower = corner ? l->h * 0.09 : 0;
  const RlRect words = {b.x + 2, b.y + lower, b.w - 4, b.h};
  figure(s, words, size, RL_INK_ON_NEXT, cell, cell->next, RL_MIDDLE);
  if (corner) {
    const RlRect small = {b.x + 5 * l->k, b.y + l->k, b.w / 2, 14 * l->k};
    figure(s, small, 13 * l->k, RL_INK_ON_20, cell, cell->now.degree, RL_LEFT);
  }
}

/* ---- all together ---- */

/* Does the lamp look the same before and after the change of chord? Then it does not fade. */
static bool
stays(const RlCell *const c)
{
  return glass_of(c->now) == glass_of(c->before) && c->now.degree == c->before.degree;
}

/* A glass at a part of its strength, for fading one look into another. */
static void
glass_faded(const RlScene *const s, const Lamp *const l, const RlCell *const c, const RlWorth w,
            const double alpha)
{
  cairo_t *const cr = s->paint.cr;
  cairo_save(cr);
  cairo_rectangle(cr, l->x - l->w, l->y - l->h, 2 * l->w, 2 * l->h);
  cairo_clip(cr);
  cairo_push_group(cr);
  glass_draw(s, l, c, w);
  cairo_pop_group_to_source(cr);
  cairo_paint_with_alpha(cr, alpha);
  cairo_restore(cr);
}

static void
lamp_glass(const RlScene *const s, const Lamp *const l, const RlCell *const c)
{
  if (s->view->change.fade >= 1 || stays(c)) {
    glass_draw(s, l, c, c->now);
  } else {
    glass_faded(s, l, c, c->before, 1 - s->view->change.fade);
    glass_faded(s, l, c, c->now, s->view->change.fade);
  }
}

static void
unreachable_draw(const RlScene *const s, const Lamp *const l)
{
  const double dots[] = {2 * l->k, 5 * l->k};
  cairo_set_dash(s->paint.cr, dots, 2, 0);
  rl_edge_box(&s->paint, middle(l, l->w, l->h), l->radius, 1.5 * l->k, RL_INK_EDGE);
  cairo_set_dash(s->paint.cr, NULL, 0, 0);
}

/* The plan is drawn in white: a stroke at the lamp's foot, hollow for the next bar, and a ring
   round the note that should sound now. */
static void
phrase_draw(const RlScene *const s, const Lamp *const l, const RlPhraseMark mark)
{
  const double k    = l->k;
  const RlRect foot = {l->x - l->w * 0.36, l->y + l->h / 2 + 1.5 * k, l->w * 0.72, 5.5 * k};
  if (mark == RL_MARK_SOON) {
    rl_edge_box(&s->paint, foot, foot.h / 2, 1.5 * k, RL_INK_TEXT);
  } else {
    rl_fill_box(&s->paint, foot, foot.h / 2, RL_INK_TEXT);
  }
  if (mark == RL_MARK_SOUNDS) {
    rl_edge_box(&s->paint, middle(l, l->w + 10 * fmin(1, k), l->h + 10 * fmin(1, k)),
                l->radius + 5 * k, 4 * k, RL_INK_TEXT);
  }
}

void
rl_lamp_draw(const RlScene *const s, const RlRect at, const RlCell *const c)
{
  const Lamp l     = lamp_in(at);
  const bool dim   = glass_of(c->now) < GLASS_50;
  const bool soon  = c->comes && rl_fill_steps(s->view) > 0;
  const bool large = soon && dim;
  if (!c->reached) {
    unreachable_draw(s, &l);
    return;
  }
  if (soon || (c->comes && c->target)) {
    frame_draw(s, &l, dim ? (double)rl_fill_steps(s->view) / RL_FILL_STEPS : 0, c->target);
  }
  if (large) {
    coming_draw(s, &l, c);
  } else {
    lamp_glass(s, &l, c);
  }
  if (c->target) {
    target_draw(s, &l);
  }
  if (c->phrase) {
    phrase_draw(s, &l, (RlPhraseMark)c->phrase);
  }
}

void
rl_lamp_draw_glow(const RlScene *const s, const RlRect at, const RlCell *const c)
{
  const Lamp   l    = lamp_in(at);
  const double glow = glasses[glass_of(c->now)].halo;
  const double size = 0.72 + 0.33 * glow;
  if (glow > 0 && c->reached) {
    rl_glow(&s->paint, l.x, l.y, l.w * size, l.h * size, 0.5 * glow, s->view->change.fade);
  }
}
