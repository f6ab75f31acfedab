/* SPDX-License-Identifier: ISC */
#include "ui/paper/pen.h"

#include <assert.h>
#include <string.h>

enum { WORDS_SIZE = 1024 };

void
rl_pen_write(const RlPaint *const p, const RlRect box, const double size, const RlFont cut,
             const RlAlign align, const char *const text)
{
  assert(p->cr && size > 0);
  rl_write(p, box, (RlStyle){size, cut, RL_INK_PRINT, align}, text);
}

void
rl_pen_line(const RlPaint *const p, const double x, const double y, const double to_x,
            const double to_y, const double width)
{
  rl_set_ink(p, RL_INK_PRINT, 1);
  cairo_set_line_width(p->cr, width);
  cairo_move_to(p->cr, x, y);
  cairo_line_to(p->cr, to_x, to_y);
  cairo_stroke(p->cr);
}

void
rl_pen_dot(const RlPaint *const p, const double x, const double y, const double r, const RlInk ink)
{
  cairo_save(p->cr); /* a point with round caps takes a tenth of the bytes of a circle in a PDF */
  rl_set_ink(p, ink, 1);
  cairo_set_line_width(p->cr, 2 * r);
  cairo_set_line_cap(p->cr, CAIRO_LINE_CAP_ROUND);
  cairo_move_to(p->cr, x, y);
  cairo_line_to(p->cr, x, y);
  cairo_stroke(p->cr);
  cairo_restore(p->cr);
}

/* Widths in ems, measured at B612, upper bounds of each class. */
double
rl_pen_width_estimate(const char *text, const double size)
{
  static const char narrow[] = "lit. ", wide[] = "&mMwW";
  double            ems = 0;
  for (; *text; ++text) {
    const bool inside =
      ((unsigned char)*text & 0xC0) == 0x80; /* a following byte of a longer UTF-8 character */
    ems += inside                  ? 0
           : *text == '\''         ? 0.3
           : strchr(narrow, *text) ? 0.45
           : strchr(wide, *text)   ? 0.85
                                   : 0.67;
  }
  return ems * size;
}

/* The first `bytes` bytes, or a little less: no character is cut. With an ellipsis. */
static void
begin_write(const RlSlice whole, size_t bytes, RlText *const text)
{
  while (bytes > 0 && ((unsigned char)whole.at[bytes] & 0xC0) == 0x80) {
    --bytes;
  }
  *text = rl_text_in(text->to, text->size);
  rl_text_add_slice(text, rl_slice_trim((RlSlice){whole.at, bytes}));
  rl_text_add(text, "\xE2\x80\xA6");
}

void
rl_pen_shorten(const RlPaint *const p, const RlStyle style, const double width, RlText *const text)
{
  char   copy[WORDS_SIZE];
  RlText whole = rl_text_in(copy, sizeof(copy));
  size_t low   = 0;
  rl_text_add(&whole, text->to);
  if (rl_write_width(p, style, text->to) <= width) {
    return;
  }
  for (size_t high = whole.used; low + 1 < high;) {
    const size_t middle = (low + high) / 2;
    begin_write((RlSlice){copy, whole.used}, middle, text);
    if (rl_write_width(p, style, text->to) <= width) {
      low = middle;
    } else {
      high = middle;
    }
  }
  begin_write((RlSlice){copy, whole.used}, low, text);
}
