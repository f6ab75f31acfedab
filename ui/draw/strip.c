/* SPDX-License-Identifier: ISC */
#include "ui/draw/strip.h"

#include "ui/layout/lane.h"

#include <math.h>

/* Half steps shown beyond the notes, and how many at least. */
enum { BEYOND = 3, LEAST = 14 };

typedef struct {
  const RlScene   *s;
  const RlLaneBar *bar;
  RlRect           at;        /* of the bar in the strip */
  RlRect           lane_at;   /* and in the lane above: both have one time */
  double           starts;    /* ticks along the form to the tune's bar */
  int              low, high; /* MIDI numbers */
} Strip;

/* From the lowest note to the highest, and what is beside them. */
static void
range_find(Strip *const t)
{
  const RlViewPhrases *const p = &t->s->view->phrases;
  t->low                       = p->onset[0].low;
  t->high                      = p->onset[0].high;
  for (int i = 1; i < p->onsets; ++i) {
    t->low  = p->onset[i].low < t->low ? p->onset[i].low : t->low;
    t->high = p->onset[i].high > t->high ? p->onset[i].high : t->high;
  }
  const int more = LEAST - (t->high - t->low + 1 + 2 * BEYOND);
  const int each = BEYOND + (more > 0 ? (more + 1) / 2 : 0);
  t->low -= each;
  t->high += each;
}

static double
x_of(const Strip *const t, const double ticks)
{
  return rl_lane_x(t->lane_at, t->bar, t->starts + ticks);
}

/* The upper edge of a half step. */
static double
y_of(const Strip *const t, const int midi)
{
  return t->at.y + (t->high - midi) * t->at.h / (t->high - t->low + 1);
}

/* ---- the sound ---- */

/* The rows in sight as a mask, a pixel a cell; NULL: none is in sight, or there is no memory. */
static cairo_surface_t *
mask_of(const RlViewPicture *const p, const int low, const int high)
{
  cairo_surface_t *const mask =
    cairo_image_surface_create(CAIRO_FORMAT_A8, p->columns, high - low + 1);
  if (cairo_surface_status(mask) != CAIRO_STATUS_SUCCESS) {
    cairo_surface_destroy(mask);
    return NULL;
  }
  unsigned char *const data   = cairo_image_surface_get_data(mask);
  const int            stride = cairo_image_surface_get_stride(mask);
  for (int midi = low; midi <= high; ++midi) {
    const int row = midi - p->lowest;
    for (int x = 0; x < p->columns; ++x) {
      data[(high - midi) * stride + x] = row >= 0 && row < p->rows ? p->cell[x * p->rows + row] : 0;
    }
  }
  cairo_surface_mark_dirty(mask);
  return mask;
}

/* Quiet enough that the notes over it are read. */
static void
sound_draw(const Strip *const t, cairo_surface_t *const mask)
{
  const RlViewPicture *const p    = t->s->view->phrases.picture;
  cairo_t *const             cr   = t->s->paint.cr;
  const double               from = x_of(t, p->begins * RL_TICKS);
  const double               to   = x_of(t, p->ends * RL_TICKS);
  cairo_matrix_t             matrix;
  cairo_pattern_t *const     cells = cairo_pattern_create_for_surface(mask);
  cairo_matrix_init_scale(&matrix, p->columns / (to - from), (t->high - t->low + 1) / t->at.h);
  cairo_matrix_translate(&matrix, -from, -t->at.y);
  cairo_pattern_set_matrix(cells, &matrix);
  cairo_pattern_set_filter(cells, CAIRO_FILTER_BILINEAR);
  cairo_save(cr);
  cairo_rectangle(cr, t->at.x, t->at.y, t->at.w, t->at.h);
  cairo_clip(cr);
  rl_set_ink(&t->s->paint, RL_INK_QUIET, 1);
  cairo_mask(cr, cells);
  cairo_restore(cr);
  cairo_pattern_destroy(cells);
}

/* ---- the notes over it ---- */

static void
note_draw(const Strip *const t, const int onset)
{
  const RlViewPhrases *const p      = &t->s->view->phrases;
  const RlViewOnset *const   n      = &p->onset[onset];
  const RlPaint *const       paint  = &t->s->paint;
  const double               row    = t->at.h / (t->high - t->low + 1);
  const double               dash[] = {3, 3};
  const double               x      = fmax(x_of(t, n->at), t->at.x);
  const double               end    = fmin(x_of(t, n->at + n->lasts), t->at.x + t->at.w);
  const double               y      = y_of(t, n->high);
  if (end <= x) {
    return;
  }
  rl_set_ink(paint, onset == p->note ? RL_INK_90 : n->perhaps ? RL_INK_QUIET : RL_INK_TEXT, 1);
  cairo_set_dash(paint->cr, dash, n->perhaps ? 2 : 0, 0);
  cairo_set_line_width(paint->cr, onset == p->note ? 2.5 : 1.5);
  cairo_rectangle(paint->cr, x + 1, y - 1, fmax(end - x - 2, 2), y_of(t, n->low) + row - y + 2);
  cairo_stroke(paint->cr);
  cairo_set_dash(paint->cr, NULL, 0, 0);
}

void
rl_draw_strip(const RlScene *const s)
{
  const RlLayout *const l = s->layout;
  RlLaneBar             bars[RL_LANE_BARS_MAX];
  double                now = 0;
  Strip                 t   = {.s = s};
  if (l->strip.w <= 0 || !s->view->phrases.picture || !s->view->phrases.onsets ||
      !rl_paint_sees(&s->paint, l->strip)) {
    return;
  }
  const RlView view  = rl_lane_preview(s->view);
  const int    count = rl_lane_in_sight(&view, l->lane_bars, bars, &now);
  t.starts           = rl_lane_onset(s->view, 0) - s->view->phrases.onset[0].at;
  range_find(&t);
  cairo_surface_t *const mask = mask_of(s->view->phrases.picture, t.low, t.high);
  rl_fill_box(&s->paint, l->strip, fmin(12, l->strip.h / 6), RL_INK_TOOTH);
  for (int i = 0; i < count && mask; ++i) {
    t.bar     = &bars[i];
    t.at      = rl_lane_bar_at(l, l->strip, i);
    t.lane_at = rl_lane_bar_at(l, l->preview, i);
    sound_draw(&t, mask);
    for (int n = 0; n < s->view->phrases.onsets; ++n) {
      note_draw(&t, n);
    }
  }
  cairo_surface_destroy(mask);
}
