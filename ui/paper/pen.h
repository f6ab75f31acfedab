/* SPDX-License-Identifier: ISC */
/* Black ink on paper: words, lines and dots. Lengths are points. */
#ifndef RL_UI_PAPER_PEN_H
#define RL_UI_PAPER_PEN_H

#include "core/text/text.h"
#include "ui/paint/text.h"

/** Writes one line into the middle of a box's height; it shrinks where the box is too narrow. */
void rl_pen_write(const RlPaint *paint, RlRect box, double size, RlFont cut, RlAlign align,
                  const char *text);

/** A straight line, `width` thick. */
void rl_pen_line(const RlPaint *paint, double x, double y, double to_x, double to_y, double width);

/** A filled circle of radius `r`. */
void rl_pen_dot(const RlPaint *paint, double x, double y, double r, RlInk ink);

/** About how wide a text is at that size, by a table of four rough widths: so that pages can be
    counted without a font, and alike on every machine. */
double rl_pen_width_estimate(const char *text, double size);

/** Shortens `text`, in place, to its longest beginning with an ellipsis behind it that is no wider
    than `width`; one that is not wider stays whole. */
void rl_pen_shorten(const RlPaint *paint, RlStyle style, double width, RlText *text);

#endif
