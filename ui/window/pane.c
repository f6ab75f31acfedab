/* SPDX-License-Identifier: ISC */
#include "ui/window/pane.h"

#include <assert.h>
#include <math.h>
#include <string.h>

bool
rl_pane_init(RlPane *const p, const cairo_format_t format)
{
  memset(p, 0, sizeof(*p));
  p->format  = format;
  p->stale   = cairo_region_create();
  p->exposed = cairo_region_create();
  return cairo_region_status(p->stale) == CAIRO_STATUS_SUCCESS &&
         cairo_region_status(p->exposed) == CAIRO_STATUS_SUCCESS;
}

void
rl_pane_free(RlPane *const p)
{
  cairo_surface_destroy(p->surface);
  cairo_region_destroy(p->stale);
  cairo_region_destroy(p->exposed);
}

/* Adds the whole pixels that the part touches inside the image. */
static void
region_add(cairo_region_t *const region, const RlPane *const p, const RlRect part)
{
  const double                left   = fmin(fmax(0, floor(part.x)), p->width);
  const double                top    = fmin(fmax(0, floor(part.y)), p->height);
  const double                right  = fmin(fmax(left, ceil(part.x + part.w)), p->width);
  const double                bottom = fmin(fmax(top, ceil(part.y + part.h)), p->height);
  const cairo_rectangle_int_t whole  = {(int)left, (int)top, (int)(right - left),
                                        (int)(bottom - top)};
  cairo_region_union_rectangle(region, &whole);
}

static void
region_clear(cairo_region_t *const region)
{
  cairo_region_subtract(region, region);
}

void
rl_pane_resize(RlPane *const p, const int width, const int height)
{
  assert(width > 0 && height > 0);
  if (p->surface && width == p->width && height == p->height) {
    return;
  }
  cairo_surface_destroy(p->surface);
  p->width   = width;
  p->height  = height;
  p->surface = cairo_image_surface_create(p->format, width, height);
  region_clear(p->stale);
  region_clear(p->exposed);
  region_add(p->stale, p, (RlRect){0, 0, width, height});
}

void
rl_pane_expose(RlPane *const p, const RlRect part)
{
  region_add(p->exposed, p, part);
}

/* Cairo on the image, clipped to what is stale. */
static cairo_t *
cairo_on_stale(const RlPane *const p)
{
  cairo_t *const cr = cairo_create(p->surface);
  for (int i = 0; i < cairo_region_num_rectangles(p->stale); ++i) {
    cairo_rectangle_int_t r;
    cairo_region_get_rectangle(p->stale, i, &r);
    cairo_rectangle(cr, r.x, r.y, r.width, r.height);
  }
  cairo_clip(cr);
  return cr;
}

void
rl_pane_draw(RlPane *const p, const RlWindowCallbacks *const callbacks)
{
  RlRect    parts[RL_DAMAGE_MAX];
  const int count = callbacks->changed(callbacks->data, p->width, p->height, parts);
  for (int i = 0; i < count && i < RL_DAMAGE_MAX; ++i) {
    region_add(p->stale, p, parts[i]);
  }
  if (!cairo_region_is_empty(p->stale)) {
    cairo_t *const cr = cairo_on_stale(p);
    callbacks->draw(callbacks->data, cr, p->width, p->height);
    cairo_destroy(cr);
    cairo_region_union(p->exposed, p->stale);
    region_clear(p->stale);
  }
}

void
rl_pane_show(RlPane *const p, const RlPanePut put, void *const data)
{
  cairo_surface_flush(p->surface);
  for (int i = 0; i < cairo_region_num_rectangles(p->exposed); ++i) {
    cairo_rectangle_int_t part;
    cairo_region_get_rectangle(p->exposed, i, &part);
    put(data, &part);
  }
  region_clear(p->exposed);
}
