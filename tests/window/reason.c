/* SPDX-License-Identifier: ISC */
/* Which sentence a window on the screen shows in the corner where the chord would stand: draws that
   corner with each of them, and looks which one is the same, pixel by pixel. Usage: reason ID
   Prints the sentence; nothing if it is none of them, 1 if the window is gone. */
#include "ui/draw/corners.h"
#include "ui/draw/draw.h"
#include "ui/paint/text.h"

#include "core/chart/chart.h"

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static const char chart[] = "| I7 | % | % | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n";

/* What the plugin has told, and whether it has been silent since. */
static const struct {
  bool told, lit, rolling, silent;
} reasons[] = {{true, true, false, false},
               {true, true, true, false},
               {true, false, false, false},
               {true, true, false, true}};

enum { REASONS = sizeof(reasons) / sizeof(reasons[0]), OPAQUE = 0xFFFFFF };

static void
view_make(RlView *const v, const RlForm *const form, const int reason)
{
  *v = (RlView){.osc_to         = "",
                .problem        = "",
                .focus          = -1,
                .edit.list      = -1,
                .edit.error_bar = -1,
                .follow         = true,
                .form           = form,
                .told           = reasons[reason].told,
                .silent         = reasons[reason].silent,
                .report.lit     = reasons[reason].lit,
                .report.rolling = reasons[reason].rolling};
  for (int i = 0; i < RL_PORTS; ++i) {
    v->port[i] = rl_ports[i].standard;
  }
}

/* Are the pixels of the corner the same on the screen and in the picture? */
static bool
same(XImage *const seen, cairo_surface_t *const drawn, const RlLayout *const l)
{
  const int left = (int)ceil(l->now.x * l->unit), top = (int)ceil(l->now.y * l->unit);
  const int right                  = (int)floor((l->now.x + l->now.w) * l->unit);
  const int bottom                 = (int)floor((l->now.y + l->now.h) * l->unit);
  const int stride                 = cairo_image_surface_get_stride(drawn);
  const unsigned char *const bytes = cairo_image_surface_get_data(drawn);
  for (int y = top; y < bottom; ++y) {
    for (int x = left; x < right; ++x) {
      const uint32_t *const pixel =
        (const uint32_t *)(const void *)(bytes + (ptrdiff_t)y * stride) + x;
      if ((XGetPixel(seen, x, y) & OPAQUE) != (*pixel & OPAQUE)) {
        return false;
      }
    }
  }
  return right > left && bottom > top;
}

static bool
shows(XImage *const seen, const RlView *const view, RlTextCache *const cache)
{
  static RlLayout        layout;
  cairo_surface_t *const drawn =
    cairo_image_surface_create(CAIRO_FORMAT_RGB24, seen->width, seen->height);
  cairo_t *const cr = cairo_create(drawn);
  rl_layout_make(&layout, view, seen->width, seen->height);
  rl_draw(view, seen->width, seen->height, cr, cache, NULL, NULL);
  cairo_destroy(cr);
  cairo_surface_flush(drawn);
  const bool is = same(seen, drawn, &layout);
  cairo_surface_destroy(drawn);
  return is;
}

static int
error_pass(Display *const d, XErrorEvent *const event)
{
  (void)d, (void)event;
  return 0;
}

int
main(const int argc, char **const argv)
{
  static RlForm     form;
  RlChartError      error;
  XWindowAttributes at;
  Display *const    display = XOpenDisplay(NULL);
  const Window      window  = argc == 2 ? (Window)strtoul(argv[1], NULL, 0) : None;
  XSetErrorHandler(error_pass);
  XImage *const      seen  = display && window && XGetWindowAttributes(display, window, &at)
                               ? XGetImage(display, window, 0, 0, (unsigned)at.width, (unsigned)at.height,
                                           AllPlanes, ZPixmap)
                               : NULL;
  RlTextCache *const cache = rl_text_cache();
  if (!seen || !cache || !rl_chart_read(rl_slice(chart), &form, &error)) {
    return EXIT_FAILURE;
  }
  for (int i = 0; i < REASONS; ++i) {
    RlView      view;
    const char *first, *second;
    view_make(&view, &form, i);
    if (shows(seen, &view, cache)) {
      rl_lost_words(&view, &first, &second);
      printf("%s %s\n", first, second);
      break;
    }
  }
  rl_text_cache_free();
  XDestroyImage(seen);
  XCloseDisplay(display);
  return EXIT_SUCCESS;
}
