/* SPDX-License-Identifier: ISC */
#include "ui/draw/ring.h"

#include <math.h>

enum {
  SCALE = 70, /* cents from the middle of the scale to its end */
  ON_IT = 10,
  RAYS  = 12
};

static const double turn = 6.283185307179586;

int
rl_ring_looks(const RlCell *const c)
{
  const int off = c->off > SCALE ? SCALE : c->off < -SCALE ? -SCALE : c->off;
  return c->heard || c->landed ? 1 + c->landed + 2 * c->heard + 4 * (c->held ? off + SCALE + 1 : 0)
                               : 0;
}

/* A squircle round the lamp: a superellipse of the fourth degree. */
typedef struct {
  double x, y, a, b; /* middle, half axes */
  double k;          /* scale against a lamp of the full window */
} Ring;

static Ring
ring_in(const RlRect c)
{
  const double k = fmin(1.4, fmin(c.w, c.h) / 76);
  return (Ring){c.x + c.w / 2, c.y + c.h / 2, c.w / 2 + k, c.h / 2 + k, k};
}

/* A line to a place on the ring, or `out` beyond it; `t` from the top, clockwise. */
static void
line_to(const RlScene *const s, const Ring *const r, const double t, const double out)
{
  const double x   = sin(t);
  const double y   = cos(t);
  const double far = pow(x * x * x * x + y * y * y * y, -0.25);
  cairo_line_to(s->paint.cr, r->x + (r->a * far + out) * x, r->y - (r->b * far + out) * y);
}

/* Strokes the path in light, with a dark edge. */
static void
stroke(const RlScene *const s, const double width)
{
  cairo_t *const cr = s->paint.cr;
  rl_set_ink(&s->paint, RL_INK_GROUND, 1);
  cairo_set_line_width(cr, 1.8 * width);
  cairo_stroke_preserve(cr);
  rl_set_ink(&s->paint, RL_INK_100, 1);
  cairo_set_line_width(cr, width);
  cairo_stroke(cr);
}

static void
ring_draw(const RlScene *const s, const Ring *const r)
{
  enum { STEPS = 64 };
  cairo_new_path(s->paint.cr);
  for (int i = 0; i < STEPS; ++i) {
    line_to(s, r, turn * i / STEPS, 0);
  }
  cairo_close_path(s->paint.cr);
  stroke(s, 6 * r->k);
}

static void
rays_draw(const RlScene *const s, const Ring *const r)
{
  cairo_t *const cr = s->paint.cr;
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_new_path(cr);
  for (int i = 0; i < RAYS; ++i) {
    const double t = turn * (i + 0.5) / RAYS;
    cairo_new_sub_path(cr);
    line_to(s, r, t, 9 * r->k);
    line_to(s, r, t, 24 * r->k);
  }
  stroke(s, 6 * r->k);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
}

/* ---- the needle: a scale over the lamp, flat on the left ---- */

static double
x_of(const Ring *const r, const double cents)
{
  return r->x + fmin(fmax(cents / SCALE, -1), 1) * 1.6 * r->a;
}

/* The scale, and on it where the needle should be: hollow, and filled while it is there. */
static void
scale_draw(const RlScene *const s, const Ring *const r, const double low, const double high,
           const bool there)
{
  const double h    = 13 * r->k;
  const double left = x_of(r, -SCALE);
  const RlRect all  = {left, r->y - r->b - h / 2, x_of(r, SCALE) - left, h};
  const RlRect goal = {x_of(r, low), all.y, x_of(r, high) - x_of(r, low), h};
  rl_fill_box(&s->paint, rl_rect_inset(all, -2 * r->k), h / 2, RL_INK_GROUND);
  rl_edge_box(&s->paint, all, h / 2, 1.5 * r->k, RL_INK_100);
  rl_fill_box(&s->paint, goal, h / 4, there ? RL_INK_100 : RL_INK_GROUND);
  rl_edge_box(&s->paint, goal, h / 4, 3 * r->k, RL_INK_100);
}

static void
needle_draw(const RlScene *const s, const Ring *const r, const double cents)
{
  cairo_t *const cr = s->paint.cr;
  const double   x  = x_of(r, cents);
  const double   y  = r->y - r->b - 5 * r->k; /* it stands on the scale */
  cairo_new_path(cr);
  cairo_move_to(cr, x, y);
  cairo_line_to(cr, x - 11 * r->k, y - 24 * r->k);
  cairo_line_to(cr, x + 11 * r->k, y - 24 * r->k);
  cairo_close_path(cr);
  rl_set_ink(&s->paint, RL_INK_TEXT, 1);
  cairo_fill_preserve(cr);
  rl_set_ink(&s->paint, RL_INK_GROUND, 1);
  cairo_set_line_width(cr, 4 * r->k);
  cairo_stroke(cr);
}

void
rl_ring_draw(const RlScene *const s, const RlRect at, const RlCell *const c)
{
  const Ring r    = ring_in(at);
  float      low  = 0;
  float      high = 0;
  if (c->landed) {
    rays_draw(s, &r);
  }
  if (c->heard) {
    ring_draw(s, &r);
  }
  if (c->held) {
    const bool   zone = rl_view_blue_zone(s->view, c->note, &low, &high);
    const double from = (zone ? (double)low : 0) - ON_IT;
    const double to   = (zone ? (double)high : 0) + ON_IT;
    scale_draw(s, &r, from, to, c->off >= from && c->off <= to);
    needle_draw(s, &r, c->off);
  }
}
