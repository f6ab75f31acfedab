/* SPDX-License-Identifier: ISC */
#include "ui/paint/text_cache.h"

#include <assert.h>
#include <math.h>

static const double pi = 3.14159265358979323846;

static const unsigned inks[RL_INKS] = {
  [RL_INK_GROUND] = 0x11161C,   [RL_INK_TOOTH] = 0x1E2731,     [RL_INK_RAIL] = 0x303C49,
  [RL_INK_BAR_LINE] = 0x4A5866, [RL_INK_EDGE] = 0x6F7F8F,      [RL_INK_TEXT] = 0xF4ECDF,
  [RL_INK_QUIET] = 0xA9B4BF,    [RL_INK_NEXT_EDGE] = 0xA87B42, [RL_INK_NEXT_FILL] = 0x46311A,
  [RL_INK_ON_NEXT] = 0xE3B778,  [RL_INK_NEXT_NAME] = 0xE9B566, [RL_INK_TARGET] = 0xFFDB94,
  [RL_INK_GLOW] = 0xFFC768,     [RL_INK_100] = 0xFFF3D6,       [RL_INK_100_EDGE] = 0xFFE3A8,
  [RL_INK_90] = 0xFFDB94,       [RL_INK_90_EDGE] = 0xF8C062,   [RL_INK_70] = 0xF0A93F,
  [RL_INK_70_EDGE] = 0xD58B2A,  [RL_INK_BLUE] = 0x6B9ACD,      [RL_INK_BLUE_EDGE] = 0x4E82BC,
  [RL_INK_50] = 0x7C4A1A,       [RL_INK_50_EDGE] = 0x643A14,   [RL_INK_20] = 0x48341F,
  [RL_INK_RUB] = 0x25405F,      [RL_INK_DROP] = 0xB9DAFF,      [RL_INK_FLAG] = 0x3E86DA,
  [RL_INK_ON_LIGHT] = 0x1B1105, [RL_INK_ON_BLUE] = 0x050E18,   [RL_INK_ON_50] = 0xFFE6BF,
  [RL_INK_ON_20] = 0xD8AE82,    [RL_INK_ON_RUB] = 0xA9C9EC,    [RL_INK_PAPER] = 0xFFFFFF,
  [RL_INK_PRINT] = 0x000000,
};

unsigned
rl_ink(const RlInk ink)
{
  assert(ink >= 0 && ink < RL_INKS);
  return inks[ink];
}

/* ---- boxes ---- */

void
rl_set_ink(const RlPaint *const p, const RlInk ink, const double alpha)
{
  assert(ink >= 0 && ink < RL_INKS);
  const unsigned c = inks[ink];
  cairo_set_source_rgba(p->cr, (c >> 16) / 255.0, (c >> 8 & 255) / 255.0, (c & 255) / 255.0, alpha);
}

void
rl_path_box(const RlPaint *const p, const RlRect b, const double radius)
{
  const double r = fmax(0, fmin(radius, fmin(b.w, b.h) / 2));
  cairo_new_sub_path(p->cr);
  cairo_arc(p->cr, b.x + b.w - r, b.y + r, r, -pi / 2, 0);
  cairo_arc(p->cr, b.x + b.w - r, b.y + b.h - r, r, 0, pi / 2);
  cairo_arc(p->cr, b.x + r, b.y + b.h - r, r, pi / 2, pi);
  cairo_arc(p->cr, b.x + r, b.y + r, r, pi, 3 * pi / 2);
  cairo_close_path(p->cr);
}

void
rl_fill_box(const RlPaint *const p, const RlRect box, const double radius, const RlInk ink)
{
  rl_path_box(p, box, radius);
  rl_set_ink(p, ink, 1);
  cairo_fill(p->cr);
}

void
rl_edge_box(const RlPaint *const p, const RlRect box, const double radius, const double width,
            const RlInk ink)
{
  rl_path_box(p, rl_rect_inset(box, width / 2), radius - width / 2);
  rl_set_ink(p, ink, 1);
  cairo_set_line_width(p->cr, width);
  cairo_stroke(p->cr);
}

static void
stop_add(cairo_pattern_t *const pattern, const double at, const RlInk ink)
{
  const unsigned c = inks[ink];
  cairo_pattern_add_color_stop_rgb(pattern, at, (c >> 16) / 255.0, (c >> 8 & 255) / 255.0,
                                   (c & 255) / 255.0);
}

void
rl_glass_fill(const RlPaint *const p, const RlRect b, const RlInk middle, const RlInk edge)
{
  const double           x     = b.x + b.w / 2;
  const double           y     = b.y + b.h * 0.45;
  cairo_pattern_t *const glass = cairo_pattern_create_radial(x, y, 0, x, y, fmax(b.w, b.h) * 0.7);
  stop_add(glass, 0, middle);
  stop_add(glass, 1, edge);
  cairo_set_source(p->cr, glass);
  cairo_fill(p->cr);
  cairo_pattern_destroy(glass);
}

void
rl_glass_box(const RlPaint *const p, const RlRect b, const double radius, const RlInk middle,
             const RlInk edge)
{
  rl_path_box(p, b, radius);
  rl_glass_fill(p, b, middle, edge);
}

static void
glow_draw(const RlGlow *const g)
{
  const unsigned         c     = inks[RL_INK_GLOW];
  const double           red   = (c >> 16) / 255.0;
  const double           green = (c >> 8 & 255) / 255.0;
  const double           blue  = (c & 255) / 255.0;
  cairo_t *const         cr    = cairo_create(g->picture);
  cairo_pattern_t *const glow  = cairo_pattern_create_radial(0, 0, 0.25, 0, 0, 1);
  cairo_pattern_add_color_stop_rgba(glow, 0, red, green, blue, g->strength);
  cairo_pattern_add_color_stop_rgba(glow, 1, red, green, blue, 0);
  cairo_translate(cr, g->w, g->h);
  cairo_scale(cr, g->w, g->h);
  cairo_arc(cr, 0, 0, 1, 0, 2 * pi);
  cairo_set_source(cr, glow);
  cairo_fill(cr);
  cairo_pattern_destroy(glow);
  cairo_destroy(cr);
}

static const RlGlow *
glow_of(RlTextCache *const t, const int w, const int h, const double strength)
{
  for (int i = 0; i < RL_GLOWS; ++i) {
    const RlGlow *const g = &t->glow[i];
    if (g->picture && g->w == w && g->h == h && g->strength == strength) {
      return g;
    }
  }
  RlGlow *const g = &t->glow[t->next_glow++ % RL_GLOWS];
  cairo_surface_destroy(g->picture);
  *g = (RlGlow){cairo_image_surface_create(CAIRO_FORMAT_ARGB32, 2 * w, 2 * h), w, h, strength};
  glow_draw(g);
  return g;
}

void
rl_glow(const RlPaint *const p, double x, double y, double w, double h, const double strength,
        const double alpha)
{
  cairo_user_to_device(p->cr, &x, &y);
  cairo_user_to_device_distance(p->cr, &w, &h);
  const RlGlow *const g =
    glow_of(p->cache, (int)fmax(1, round(w)), (int)fmax(1, round(h)), strength);
  cairo_save(p->cr);
  cairo_identity_matrix(p->cr);
  cairo_set_source_surface(p->cr, g->picture, round(x) - g->w, round(y) - g->h);
  cairo_paint_with_alpha(p->cr, alpha);
  cairo_restore(p->cr);
}

bool
rl_paint_sees(const RlPaint *const p, const RlRect b)
{
  cairo_rectangle_list_t *const clip = cairo_copy_clip_rectangle_list(p->cr);
  bool                          seen = clip->status != CAIRO_STATUS_SUCCESS;
  for (int i = 0; i < clip->num_rectangles && !seen; ++i) {
    const cairo_rectangle_t *const r = &clip->rectangles[i];
    seen = b.x < r->x + r->width && b.x + b.w > r->x && b.y < r->y + r->height && b.y + b.h > r->y;
  }
  cairo_rectangle_list_destroy(clip);
  return seen;
}

bool
rl_paint_wants(const RlPaint *const p, const RlRect box)
{
  return p->observer || rl_paint_sees(p, box);
}
