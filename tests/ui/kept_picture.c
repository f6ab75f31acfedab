/* SPDX-License-Identifier: ISC */
#include "kept_picture.h"
#include "hands.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>

#include <cairo.h>

#include <cmocka.h>

static cairo_surface_t *kept;
static cairo_surface_t *whole;

void
pictures_make(void)
{
  kept  = cairo_image_surface_create(CAIRO_FORMAT_RGB24, host.width, host.height);
  whole = cairo_image_surface_create(CAIRO_FORMAT_RGB24, host.width, host.height);
}

void
pictures_drop(void)
{
  cairo_surface_destroy(kept);
  cairo_surface_destroy(whole);
}

int
parts_draw(void)
{
  RlRect    damage[RL_DAMAGE_MAX];
  const int n = rl_controller_changed(host.controller, host.now, host.width, host.height, damage);
  cairo_t *const cr = cairo_create(kept);
  for (int i = 0; i < n; ++i) {
    const double x = floor(damage[i].x), y = floor(damage[i].y);
    cairo_rectangle(cr, x, y, ceil(damage[i].x + damage[i].w) - x,
                    ceil(damage[i].y + damage[i].h) - y);
  }
  if (n) {
    cairo_clip(cr);
    rl_controller_draw(host.controller, cr, host.width, host.height);
  }
  cairo_destroy(cr);
  return n;
}

/* A clip changes how Cairo rounds an edge within it: by up to 14 were seen, the same when a whole
   picture is drawn once more under that clip. So a few may be off, by a little. */
void
same_as_whole(const char *const what)
{
  enum { LITTLE = 10, MUCH = 20, FEW = 40 };
  int            little = 0;
  cairo_t *const cr     = cairo_create(whole);
  rl_controller_draw(host.controller, cr, host.width, host.height);
  cairo_destroy(cr);
  cairo_surface_flush(kept);
  cairo_surface_flush(whole);
  const int                  stride = cairo_image_surface_get_stride(kept);
  const unsigned char *const a      = cairo_image_surface_get_data(kept);
  const unsigned char *const b      = cairo_image_surface_get_data(whole);
  for (int y = 0; y < host.height; ++y) {
    for (int x = 0; x < host.width * 4; ++x) {
      const int off = abs(a[y * stride + x] - b[y * stride + x]);
      little += x % 4 < 3 && off > LITTLE;
      if (x % 4 < 3 && (off > MUCH || little > FEW)) {
        cairo_surface_write_to_png(kept, "/tmp/reedlamp-kept.png");
        cairo_surface_write_to_png(whole, "/tmp/reedlamp-whole.png");
        fail_msg("%s: %d,%d is off by %d (/tmp/reedlamp-kept.png, -whole.png)", what, x / 4, y,
                 off);
      }
    }
  }
}
