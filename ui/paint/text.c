/* SPDX-License-Identifier: ISC */
#include "ui/paint/text_cache.h"

#include "core/text/text.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char family[] = "B612, DejaVu Sans", even_family[] = "B612 Mono, DejaVu Sans Mono",
                  signs_family[] = "DejaVu Sans";

static _Thread_local RlTextCache *of_thread;

RlTextCache *
rl_text_cache(void)
{
  RlTextCache *const t = of_thread ? of_thread : (RlTextCache *)calloc(1, sizeof(RlTextCache));
  if (t && !of_thread) {
    cairo_font_options_t *const options = cairo_font_options_create();
    t->context = pango_font_map_create_context(pango_cairo_font_map_get_default());
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(t->context, options);
    pango_cairo_context_set_resolution(t->context, 72);
    pango_context_set_round_glyph_positions(t->context, FALSE);
    cairo_font_options_destroy(options);
    of_thread = t;
  }
  return t;
}

void
rl_text_cache_free(void)
{
  RlTextCache *const t = of_thread;
  of_thread            = NULL;
  for (int i = 0; t && i < RL_WORDS; ++i) {
    g_clear_object(&t->word[i].layout);
    cairo_surface_destroy(t->word[i].mask);
  }
  for (int i = 0; t && i < RL_GLOWS; ++i) {
    cairo_surface_destroy(t->glow[i].picture);
  }
  for (int i = 0; t && i < RL_EDGES; ++i) {
    cairo_surface_destroy(t->edge[i].drawn);
  }
  if (t) {
    g_object_unref(t->context);
  }
  free(t);
}

static bool
is_sign(const char *const at)
{
  return !strncmp(at, "\xE2\x99\xAD", 3) || !strncmp(at, "\xE2\x99\xAF", 3);
}

/* Sets the music signs in another font. True if there are any. */
static bool
signs_mark(PangoAttrList *const list, const char *const text)
{
  bool any = false;
  for (const char *at = text; *at; ++at) {
    if (is_sign(at)) {
      PangoAttribute *const both[] = {pango_attr_family_new(signs_family),
                                      pango_attr_weight_new(PANGO_WEIGHT_NORMAL)};
      for (int i = 0; i < 2; ++i) {
        both[i]->start_index = (guint)(at - text);
        both[i]->end_index   = (guint)(at - text) + 3;
        pango_attr_list_insert(list, both[i]);
      }
      any = true;
    }
  }
  return any;
}

static void
lay_out(const RlTextCache *const t, RlWord *const w, const char *const text)
{
  PangoFontDescription *const font = pango_font_description_new();
  PangoAttrList *const        list = pango_attr_list_new();
  PangoRectangle              ink;
  int                         width;
  pango_font_description_set_family(font, w->font == RL_MONOSPACE ? even_family : family);
  pango_font_description_set_weight(font,
                                    w->font == RL_BOLD ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_style(font,
                                   w->font == RL_ITALIC ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
  pango_font_description_set_absolute_size(font, w->size * PANGO_SCALE);
  w->layout = pango_layout_new(t->context);
  w->signs  = signs_mark(list, text);
  pango_layout_set_font_description(w->layout, font);
  pango_layout_set_attributes(w->layout, list);
  pango_layout_set_single_paragraph_mode(w->layout, TRUE);
  pango_layout_set_text(w->layout, text, -1);
  pango_layout_get_size(w->layout, &width, NULL);
  pango_layout_line_get_extents(pango_layout_get_line_readonly(w->layout, 0), &ink, NULL);
  w->width = (double)width / PANGO_SCALE;
  w->rise  = (double)-ink.y / PANGO_SCALE;
  w->hang  = (double)(ink.y + ink.height) / PANGO_SCALE;
  pango_attr_list_unref(list);
  pango_font_description_free(font);
}

static unsigned
hash_of(const char *text, const double size, const RlStyle style)
{
  unsigned h = 2166136261U ^ (unsigned)(size * 16) ^ (0x9E3779B9U * style.font);
  for (; *text; ++text) {
    h = (h ^ (unsigned char)*text) * 16777619U;
  }
  return h ^ h >> 15;
}

/* A line from the cache, laid out now if it is not there. Sizes are rounded down to a sixteenth, so
   that there are fewer of them. */
static RlWord *
word_of(const RlPaint *const p, const char *const text, const double wanted, const RlStyle style)
{
  RlTextCache *const t    = p->cache;
  const double       size = fmax(1, floor(wanted * 16) / 16);
  double             x    = 1;
  double             y    = 0;
  cairo_user_to_device_distance(p->cr, &x, &y);
  RlWord *const w = &t->word[hash_of(text, size * x, style) % RL_WORDS];
  if (w->layout && w->size == size && w->scale == x && w->font == style.font &&
      !strcmp(w->text, text)) {
    return w;
  }
  pango_cairo_update_context(p->cr, t->context);
  if (w->layout) {
    g_object_unref(w->layout);
    cairo_surface_destroy(w->mask);
  }
  w->mask  = NULL;
  w->size  = size;
  w->scale = x;
  w->font  = style.font;
  strncpy(w->text, text, RL_WORD_SIZE - 1);
  lay_out(t, w, text);
  if (strlen(text) >= RL_WORD_SIZE) {
    w->text[0] = '\0'; /* too long to be found again */
    w->text[1] = '\1';
  }
  return w;
}

/* ---- one line ---- */

typedef struct {
  RlWord *word;
  double  x, baseline;
} Line;

/* Each size opens a font: shrunk sizes are rounded down so that there are few. */
static double
shrunk(const double size)
{
  const double step = size > 32 ? 2 : size > 16 ? 1 : 0.5;
  return size > step ? floor(size / step) * step : size;
}

/* Round letters overshoot the line by this part of the size; so they may their box. */
static const double round_over = 0.02;

/* The factor by which a line must shrink to fit its box, descenders included. */
static double
fit_of(const RlWord *const w, const RlRect box)
{
  const double high = w->rise + w->hang;
  const double wide = w->width > box.w && w->width > 0 ? box.w / w->width : 1;
  return high > box.h + 2 * round_over * w->size ? fmin(wide, box.h / high) : wide;
}

/* Capitals stand in the middle of the box's height, moved if other letters would leave the box. */
static double
baseline_of(const RlWord *const w, const RlRect box)
{
  static const double capital = 0.75; /* of B612's size */
  const double        over    = round_over * w->size;
  const double        middle  = box.y + box.h / 2 + capital / 2 * w->size;
  return fmax(box.y - over + w->rise, fmin(middle, box.y + box.h + over - w->hang));
}

static Line
line_in(const RlPaint *const p, const RlRect box, const RlStyle style, const char *const text)
{
  Line         line = {word_of(p, text, style.size, style), 0, 0};
  const double fit  = fit_of(line.word, box);
  if (fit < 1) {
    line.word = word_of(p, text, shrunk(style.size * fit), style);
  }
  const double free_width = box.w - line.word->width;
  line.x                  = box.x + (style.align == RL_LEFT     ? 0
                                     : style.align == RL_MIDDLE ? free_width / 2
                                                                : free_width);
  line.baseline           = baseline_of(line.word, box);
  return line;
}

/* Is it drawn into an image? In PDF and SVG letters stay letters, so that they can be searched for.
 */
static bool
in_pixels(cairo_t *const cr)
{
  return cairo_surface_get_type(cairo_get_target(cr)) == CAIRO_SURFACE_TYPE_IMAGE;
}

/* Music signs are too thin beside B612 and get an outline; its width as a part of the size. */
static const double sign_edge = 0.055;

/* Where a sign stands in the drawing of its outline, as parts of the size. Nothing may lie at
   negative coordinates there: SVG would lose it. */
static const double edge_left = 0.25, edge_top = 1.25;

static void
sign_path(cairo_t *const cr, const PangoGlyphItem *const run)
{
  pango_cairo_glyph_string_path(cr, run->item->analysis.font, run->glyphs);
}

/* The outline of a sign in the ink of `cr`, drawn once for all sizes; PDF and SVG then hold
   it once. */
static cairo_surface_t *
edge_of(RlTextCache *const t, cairo_t *const cr, const PangoGlyphItem *const run, const double size)
{
  RlEdge want = {.glyph = run->glyphs->glyphs[0].glyph};
  cairo_pattern_get_rgba(cairo_get_source(cr), &want.red, &want.green, &want.blue, NULL);
  for (int i = 0; i < RL_EDGES; ++i) {
    const RlEdge *const e = &t->edge[i];
    if (e->drawn && e->glyph == want.glyph && e->red == want.red && e->green == want.green &&
        e->blue == want.blue) {
      return e->drawn;
    }
  }
  static const double     em   = RL_EDGE_EM;
  const cairo_rectangle_t room = {0, 0, 1.5 * em, 1.75 * em};
  RlEdge *const           e    = &t->edge[t->next_edge++ % RL_EDGES];
  cairo_surface_destroy(e->drawn);
  want.drawn          = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &room);
  *e                  = want;
  cairo_t *const once = cairo_create(e->drawn);
  cairo_translate(once, edge_left * em, edge_top * em);
  cairo_scale(once, em / size, em / size);
  sign_path(once, run);
  cairo_set_source_rgb(once, e->red, e->green, e->blue);
  cairo_set_line_width(once, sign_edge * size);
  cairo_stroke(once);
  cairo_destroy(once);
  return e->drawn;
}

static void
edge_show(RlTextCache *const t, cairo_t *const cr, const PangoGlyphItem *const run, const double x,
          const double baseline, const double size)
{
  cairo_surface_t *const edge = edge_of(t, cr, run, size);
  cairo_save(cr);
  cairo_translate(cr, x, baseline);
  cairo_scale(cr, size / RL_EDGE_EM, size / RL_EDGE_EM);
  cairo_set_source_surface(cr, edge, -edge_left * RL_EDGE_EM, -edge_top * RL_EDGE_EM);
  cairo_paint(cr);
  cairo_restore(cr);
}

/* Shows the line run by run, music signs with their outline. */
static void
runs_show(RlTextCache *const t, cairo_t *const cr, const RlWord *const w, double x,
          const double baseline, const char *const text)
{
  const bool             pixels = in_pixels(cr);
  PangoLayoutLine *const runs   = pango_layout_get_line_readonly(w->layout, 0);
  for (GSList *at = runs->runs; at; at = at->next) {
    PangoGlyphItem *const run  = (PangoGlyphItem *)at->data;
    const bool            sign = is_sign(text + run->item->offset);
    cairo_move_to(cr, x, baseline);
    if (sign && pixels) {
      sign_path(cr, run);
      cairo_set_line_width(cr, sign_edge * w->size);
      cairo_fill_preserve(cr);
      cairo_stroke(cr);
    } else if (pixels) {
      pango_cairo_show_glyph_string(cr, run->item->analysis.font, run->glyphs);
    } else {
      pango_cairo_show_glyph_item(cr, text, run); /* it keeps the text with the glyphs */
    }
    if (sign && !pixels) {
      edge_show(t, cr, run, x, baseline, w->size);
    }
    x += (double)pango_glyph_string_get_width(run->glyphs) / PANGO_SCALE;
  }
  cairo_new_path(cr);
}

/* The line as a mask, to be shown in any ink. */
static void
mask_make(RlTextCache *const t, RlWord *const w, const char *const text)
{
  const double wide = w->width + w->size;
  const double high = w->size * 2;
  w->left           = (int)floor(-w->size / 2 * w->scale);
  w->top            = (int)floor(-w->size * 1.3 * w->scale);
  w->mask           = cairo_image_surface_create(CAIRO_FORMAT_A8, (int)ceil(wide * w->scale),
                                                 (int)ceil(high * w->scale));
  cairo_t *const cr = cairo_create(w->mask);
  cairo_translate(cr, -w->left, -w->top);
  cairo_scale(cr, w->scale, w->scale);
  runs_show(t, cr, w, 0, 0, text);
  cairo_destroy(cr);
}

static void
line_show(const RlPaint *const p, const Line *const line, const char *const text)
{
  RlWord *const w = line->word;
  if (!w->signs || !in_pixels(p->cr)) {
    runs_show(p->cache, p->cr, w, line->x, line->baseline, text);
    return;
  }
  double x = line->x;
  double y = line->baseline;
  if (!w->mask) {
    mask_make(p->cache, w, text);
  }
  cairo_user_to_device(p->cr, &x, &y);
  cairo_save(p->cr);
  cairo_identity_matrix(p->cr);
  cairo_mask_surface(p->cr, w->mask, round(x) + w->left, round(y) + w->top);
  cairo_restore(p->cr);
}

static void
observer_tell(const RlPaint *const p, const Line *const line, const RlRect box,
              const char *const text)
{
  PangoRectangle ink;
  if (p->observer && *text) {
    pango_layout_line_get_extents(pango_layout_get_line_readonly(line->word->layout, 0), &ink,
                                  NULL);
    const double s = PANGO_SCALE;
    p->observer(
      p->observer_data, text,
      (RlRect){line->x + ink.x / s, line->baseline + ink.y / s, ink.width / s, ink.height / s}, box,
      line->word->size);
  }
}

void
rl_write(const RlPaint *const p, const RlRect box, const RlStyle style, const char *const text)
{
  if (!*text || (!rl_paint_wants(p, box))) {
    return;
  }
  const Line line = line_in(p, box, style, text);
  rl_set_ink(p, style.ink, 1);
  line_show(p, &line, text);
  observer_tell(p, &line, box, text);
}

/* How many bytes of the text fit into a line: whole words, at least one. */
static size_t
line_fits(const RlPaint *const p, const RlStyle style, const char *const text, const double width)
{
  enum { LINE_SIZE = 512 };
  char   words[LINE_SIZE];
  size_t fits = 0;
  for (size_t n = 1; n <= strlen(text); ++n) {
    if (text[n] == ' ' || !text[n]) {
      RlText line = rl_text_in(words, sizeof(words));
      rl_text_add_slice(&line, (RlSlice){text, n});
      if (fits && rl_write_width(p, style, words) > width) {
        return fits;
      }
      fits = n;
    }
  }
  return fits;
}

void
rl_write_lines(const RlPaint *const p, RlRect box, const RlStyle style, const char *text,
               const int most)
{
  enum { LINE_SIZE = 512 };
  assert(most > 0);
  const double pitch = fmin(style.size * 1.3, box.h / most);
  for (int i = 0; i < most && *text; ++i) {
    char         words[LINE_SIZE];
    RlText       line = rl_text_in(words, sizeof(words));
    const size_t n    = i + 1 < most ? line_fits(p, style, text, box.w) : strlen(text);
    rl_text_add_slice(&line, (RlSlice){text, n});
    rl_write(p, rl_rect_cut_top(&box, pitch), style, words);
    text += n + (text[n] == ' ');
  }
}

void
rl_write_hollow(const RlPaint *const p, const RlRect box, const RlStyle style,
                const char *const text, const double level)
{
  if (!*text || (!rl_paint_wants(p, box))) {
    return;
  }
  const Line   line = line_in(p, box, style, text);
  const double size = line.word->size;
  cairo_save(p->cr);
  rl_set_ink(p, style.ink, 1);
  cairo_move_to(p->cr, line.x, line.baseline);
  pango_cairo_layout_line_path(p->cr, pango_layout_get_line_readonly(line.word->layout, 0));
  cairo_set_line_width(p->cr, size / 40);
  cairo_stroke_preserve(p->cr);
  cairo_clip(p->cr);
  cairo_rectangle(p->cr, box.x, line.baseline - 0.75 * size * level, box.w, size * 2);
  cairo_fill(p->cr);
  cairo_restore(p->cr);
  observer_tell(p, &line, box, text);
}

double
rl_write_width(const RlPaint *const p, const RlStyle style, const char *const text)
{
  return word_of(p, text, style.size, style)->width;
}
