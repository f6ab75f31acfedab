/* SPDX-License-Identifier: ISC */
#include "gallery.h"

#include "ui/draw/draw.h"
#include "ui/paint/text.h"

#include <math.h>
#include <pango/pangocairo.h>
#include <stdio.h>
#include <string.h>

/* ---- text is not drawn: these replace functions of Pango and Cairo ---- */

static unsigned last_ink;

static void
ink_note(cairo_t *const cr)
{
  double r = 0;
  double g = 0;
  double b = 0;
  cairo_pattern_get_rgba(cairo_get_source(cr), &r, &g, &b, NULL);
  last_ink =
    (unsigned)lround(r * 255) << 16 | (unsigned)lround(g * 255) << 8 | (unsigned)lround(b * 255);
}

void
pango_cairo_show_glyph_string(cairo_t *const cr, PangoFont *const font,
                              PangoGlyphString *const glyphs)
{
  (void)font;
  (void)glyphs;
  ink_note(cr);
}

void
pango_cairo_layout_line_path(cairo_t *const cr, PangoLayoutLine *const line)
{
  (void)line;
  ink_note(cr);
}

void
cairo_mask_surface(cairo_t *const cr, cairo_surface_t *const mask, const double x, const double y)
{
  (void)mask;
  (void)x;
  (void)y;
  ink_note(cr);
}

/* ---- colours ---- */

/* Asked for every pixel, and there are but 256 answers. */
void
rl_gallery_linear(const unsigned colour, double linear[3])
{
  static double of[256];
  for (int i = 0; i < 256 && of[255] == 0; ++i) {
    const double c = i / 255.0;
    of[i]          = c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
  }
  for (int i = 0; i < 3; ++i) {
    linear[i] = of[colour >> (16 - 8 * i) & 255];
  }
}

double
rl_gallery_luminance(const double c[3])
{
  return 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2];
}

double
rl_gallery_contrast(const double a[3], const double b[3])
{
  const double x = rl_gallery_luminance(a) + 0.05;
  const double y = rl_gallery_luminance(b) + 0.05;
  return fmax(x, y) / fmin(x, y);
}

/* ---- pictures ---- */

typedef struct {
  RlGallery       *gallery;
  cairo_t         *cr;
  cairo_surface_t *to; /* NULL: colours are not measured */
} Sitting;

/* Measures the contrast at every pixel that letters may touch. */
static void
ground_look(const Sitting *const s, RlShown *const word)
{
  cairo_surface_flush(s->to);
  const unsigned char *const data   = cairo_image_surface_get_data(s->to);
  const int                  stride = cairo_image_surface_get_stride(s->to);
  const double               u      = s->gallery->layout.unit;
  const RlRect               at     = word->ink;
  double                     letters[3];
  int                        seen = 0;
  rl_gallery_linear(word->colour, letters);
  word->contrast = HUGE_VAL;
  for (int y = (int)fmax(0, at.y * u); y < fmin(s->gallery->height, (at.y + at.h) * u); ++y) {
    for (int x = (int)fmax(0, at.x * u); x < fmin(s->gallery->width, (at.x + at.w) * u); ++x) {
      const unsigned char *const p = data + (ptrdiff_t)y * stride + (ptrdiff_t)x * 4;
      double                     linear[3];
      rl_gallery_linear((unsigned)p[2] << 16 | (unsigned)p[1] << 8 | p[0], linear);
      word->contrast = fmin(word->contrast, rl_gallery_contrast(letters, linear));
      for (int i = 0; i < 3; ++i) {
        word->ground[i] += linear[i];
      }
      ++seen;
    }
  }
  for (int i = 0; i < 3; ++i) {
    word->ground[i] /= seen ? seen : 1;
  }
}

static RlRect
both(const RlRect a, const RlRect b)
{
  const double x = fmax(a.x, b.x);
  const double y = fmax(a.y, b.y);
  return (RlRect){x, y, fmax(0, fmin(a.x + a.w, b.x + b.w) - x),
                  fmax(0, fmin(a.y + a.h, b.y + b.h) - y)};
}

static void
watch(void *const data, const char *const text, const RlRect ink, const RlRect box,
      const double size)
{
  Sitting *const   s = (Sitting *)data;
  RlGallery *const g = s->gallery;
  double           x1, y1, x2, y2;
  if (g->count >= RL_GALLERY_WORDS) {
    return;
  }
  RlShown *const word = &g->word[g->count++];
  cairo_clip_extents(s->cr, &x1, &y1, &x2, &y2);
  *word =
    (RlShown){.box = box, .clip = {x1, y1, x2 - x1, y2 - y1}, .size = size, .colour = last_ink};
  /* what is typed may be longer than its box, and is clipped there */
  word->ink = both(ink, word->clip);
  if (word->clip.w > g->layout.w - 1 && word->clip.h > g->layout.h - 1) {
    word->ink = ink;
  }
  snprintf(word->text, sizeof(word->text), "%s", text);
  if (s->to) {
    ground_look(s, word);
  }
}

void
rl_gallery_take(RlGallery *const g, const RlView *const view, const int width, const int height,
                const bool colours)
{
  const cairo_rectangle_t window = {0, 0, width, height};
  cairo_surface_t *const  to     = colours
                                     ? cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height)
                                     : cairo_recording_surface_create(CAIRO_CONTENT_COLOR, &window);
  cairo_t *const          cr     = cairo_create(to);
  Sitting                 s      = {g, cr, colours ? to : NULL};
  g->width                       = width;
  g->height                      = height;
  g->count                       = 0;
  rl_layout_make(&g->layout, view, width, height);
  rl_draw(view, width, height, cr, rl_text_cache(), watch, &s);
  cairo_destroy(cr);
  cairo_surface_destroy(to);
}
