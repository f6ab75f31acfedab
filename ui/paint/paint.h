/* SPDX-License-Identifier: ISC */
/* Ink, boxes and words: what everything in a picture is made of. Measures are in units of the
   layout (pixels at 1280 by 720); the cairo_t is scaled. One thread for one RlTextCache. */
#ifndef RL_UI_PAINT_PAINT_H
#define RL_UI_PAINT_PAINT_H

#include "ui/paint/rect.h"

#include <cairo.h>
#include <stdbool.h>

#include "core/text/text.h"

/** The palette. Contrasts are measured by tests/ui. */
typedef enum {
  RL_INK_GROUND,
  RL_INK_TOOTH,
  RL_INK_RAIL,
  RL_INK_BAR_LINE,
  RL_INK_EDGE,
  RL_INK_TEXT,      /**< what is played or must be read */
  RL_INK_QUIET,     /**< what is read at the desk */
  RL_INK_NEXT_EDGE, /**< hollow = next */
  RL_INK_NEXT_FILL,
  RL_INK_ON_NEXT,
  RL_INK_NEXT_NAME,
  RL_INK_TARGET,
  RL_INK_GLOW,
  RL_INK_100,
  RL_INK_100_EDGE,
  RL_INK_90,
  RL_INK_90_EDGE,
  RL_INK_70,
  RL_INK_70_EDGE,
  RL_INK_BLUE,
  RL_INK_BLUE_EDGE,
  RL_INK_50,
  RL_INK_50_EDGE,
  RL_INK_20,
  RL_INK_RUB,
  RL_INK_DROP,     /**< of a blue note */
  RL_INK_FLAG,     /**< drop on a chord tone, or on a blue note that rubs */
  RL_INK_ON_LIGHT, /**< figures on a glass of 0.7 and more */
  RL_INK_ON_BLUE,
  RL_INK_ON_50,
  RL_INK_ON_20,
  RL_INK_ON_RUB,
  RL_INK_PAPER, /**< the sheet, and what stands on black there */
  RL_INK_PRINT,
  RL_INKS
} RlInk;

/** 0xRRGGBB. */
unsigned rl_ink(RlInk ink);

/** Fonts, and the words that were laid out lately. */
typedef struct RlTextCache RlTextCache;

/** The type case of this thread, which all its windows share. NULL without memory. */
RlTextCache *rl_text_cache(void);

/** Told of every text that is drawn: where its ink lies and the box it had to fit, in units. */
typedef void (*RlTextObserver)(void *data, const char *text, RlRect ink, RlRect box, double size);

/** Where one draws. */
typedef struct {
  cairo_t       *cr;
  RlTextCache   *type;
  RlTextObserver watch; /**< NULL: nobody */
  void          *watch_data;
} RlPaint;

typedef enum { RL_LEFT, RL_MIDDLE, RL_RIGHT } RlAlign;

/** Of the letters. */
typedef enum {
  RL_PLAIN,
  RL_BOLD,
  RL_MONOSPACE, /**< all equally wide */
  RL_ITALIC     /**< on paper */
} RlFont;

/** How words look. `size` is the font's, its capitals are .75 of it high. */
typedef struct {
  double  size;
  RlFont  cut;
  RlInk   ink;
  RlAlign align;
} RlStyle;

/** Writes one line into the middle of a box's height; shrinks it if it is too wide. */
void rl_write(const RlPaint *paint, RlRect box, RlStyle style, const char *text);

/** Writes up to `most` lines, broken between words, from the top of a box on; the last one shrinks
    if the rest is too long for it. */
void rl_write_lines(const RlPaint *paint, RlRect box, RlStyle style, const char *text, int most);

/** One line as an outline, filled from below up to `level` (0 to 1). */
void rl_write_hollow(const RlPaint *paint, RlRect box, RlStyle style, const char *text,
                     double level);

/** How wide a line would be. */
double rl_write_width(const RlPaint *paint, RlStyle style, const char *text);

void rl_set_ink(const RlPaint *paint, RlInk ink, double alpha);
void rl_path_box(const RlPaint *paint, RlRect box, double radius);
void rl_fill_box(const RlPaint *paint, RlRect box, double radius, RlInk ink);
void rl_edge_box(const RlPaint *paint, RlRect box, double radius, double width, RlInk ink);
/** Fills the path as a glass in that box, light in the middle. */
void rl_glass_fill(const RlPaint *paint, RlRect box, RlInk middle, RlInk edge);
void rl_glass_box(const RlPaint *paint, RlRect box, double radius, RlInk middle, RlInk edge);

/** A glow around a point, `w` and `h` to each side, `strength` in the middle and nothing at its
    edge; `alpha` of it. */
void rl_glow(const RlPaint *paint, double x, double y, double w, double h, double strength,
             double alpha);

/** Would anything of this part be seen? False where it lies outside what changed. */
bool rl_paint_sees(const RlPaint *paint, RlRect box);

RlRect rl_rect_inset(RlRect box, double by);
/** `part` of the box's width from the left, and what is left of it. */
RlRect rl_rect_cut_left(RlRect *box, double width);
RlRect rl_rect_cut_right(RlRect *box, double width);
RlRect rl_rect_cut_top(RlRect *box, double height);
RlRect rl_rect_cut_bottom(RlRect *box, double height);
/** The n-th of boxes of that size in rows of `columns`, the first at the corner. */
RlRect rl_rect_grid_cell(double x, double y, double w, double h, int columns, int n);
bool   rl_rect_contains(RlRect box, double x, double y);

#endif
