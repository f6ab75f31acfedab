/* SPDX-License-Identifier: ISC */
/* Text: lines laid out with Pango, once, and kept in a cache. Fonts are B612, and DejaVu Sans for
   the music signs, which B612 lacks. One thread for one RlTextCache. */
#ifndef RL_UI_PAINT_TEXT_H
#define RL_UI_PAINT_TEXT_H

#include "ui/paint/paint.h"

typedef enum { RL_LEFT, RL_MIDDLE, RL_RIGHT } RlAlign;

typedef enum {
  RL_PLAIN,
  RL_BOLD,
  RL_MONOSPACE,
  RL_ITALIC /**< on paper only */
} RlFont;

/** How a text looks. `size` is the font's, in units; capitals of B612 are 0.75 of it high. */
typedef struct {
  double  size;
  RlFont  font;
  RlInk   ink;
  RlAlign align;
} RlStyle;

/** Writes one line, its capitals in the middle of the box's height. It shrinks where it is too wide
    or too high; it is never cut. */
void rl_write(const RlPaint *paint, RlRect box, RlStyle style, const char *text);

/** Writes up to `most` lines from the top of a box, broken between words. Where the text is too
    long the last line shrinks. */
void rl_write_lines(const RlPaint *paint, RlRect box, RlStyle style, const char *text, int most);

/** Writes one line as an outline, filled from its foot up to `level` (0: not at all, 1: whole). */
void rl_write_hollow(const RlPaint *paint, RlRect box, RlStyle style, const char *text,
                     double level);

/** How wide a line would be, in units. */
double rl_write_width(const RlPaint *paint, RlStyle style, const char *text);

#endif
