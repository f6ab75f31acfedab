/* SPDX-License-Identifier: ISC */
/* The palette, boxes and glows, drawn with Cairo. Lengths are in units of the layout (one is a
   pixel at 1280 by 720); the cairo_t is scaled. */
#ifndef RL_UI_PAINT_PAINT_H
#define RL_UI_PAINT_PAINT_H

#include "ui/paint/rect.h"

#include <cairo.h>
#include <stdbool.h>

/** The palette; see ui/draw/README.md. */
typedef enum {
  RL_INK_GROUND,
  RL_INK_TOOTH,
  RL_INK_RAIL,
  RL_INK_BAR_LINE,
  RL_INK_EDGE,
  RL_INK_TEXT,      /**< what is played or must be read */
  RL_INK_QUIET,     /**< labels and explanations */
  RL_INK_NEXT_EDGE, /**< frames of the next chord */
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
  RL_INK_FLAG,     /**< of a chord tone that is a blue note, or a blue note a semitone above a chord
                      tone */
  RL_INK_ON_LIGHT, /**< degrees on a glass of worth 0.7 and more */
  RL_INK_ON_BLUE,
  RL_INK_ON_50,
  RL_INK_ON_20,
  RL_INK_ON_RUB,
  RL_INK_PAPER, /**< the lesson sheet, and what stands on black there */
  RL_INK_PRINT,
  RL_INKS
} RlInk;

/** An ink as 0xRRGGBB, sRGB. */
unsigned rl_ink(RlInk ink);

/** Laid-out text and other drawings that take long to make. One thread for one cache. */
typedef struct RlTextCache RlTextCache;

/** The text cache of this thread, which all its windows share: fonts take long to open. NULL
   without memory. */
RlTextCache *rl_text_cache(void);

/** Frees the cache of this thread, for a thread that ends. */
void rl_text_cache_free(void);

/** Told of every text that is drawn: the box of its ink, the box it had to fit, and the font's
   size; in units. */
typedef void (*RlTextObserver)(void *data, const char *text, RlRect ink, RlRect box, double size);

/** Where to draw. */
typedef struct {
  cairo_t       *cr;
  RlTextCache   *cache;
  RlTextObserver observer; /**< NULL: none */
  void          *observer_data;
} RlPaint;

/** Makes `ink` the source of what is drawn next; `alpha` 0 to 1. */
void rl_set_ink(const RlPaint *paint, RlInk ink, double alpha);

/** A path round a box with rounded corners; `radius` at most half its shorter side. */
void rl_path_box(const RlPaint *paint, RlRect box, double radius);

/** Fills the box; or draws its edge, `width` thick, inside it. */
void rl_fill_box(const RlPaint *paint, RlRect box, double radius, RlInk ink);
void rl_edge_box(const RlPaint *paint, RlRect box, double radius, double width, RlInk ink);

/** Fills the path, or the box, like a glass lit from behind: `middle` slightly above the centre of
    the box, `edge` at its corners. */
void rl_glass_fill(const RlPaint *paint, RlRect box, RlInk middle, RlInk edge);
void rl_glass_box(const RlPaint *paint, RlRect box, double radius, RlInk middle, RlInk edge);

/** A glow around a point, `w` and `h` to each side: `strength` in the middle, nothing at its edge,
    all of it at `alpha`; both 0 to 1. */
void rl_glow(const RlPaint *paint, double x, double y, double w, double h, double strength,
             double alpha);

/** Would anything of this box be seen, or does it lie outside the clip? */
bool rl_paint_sees(const RlPaint *paint, RlRect box);

/** Must this box be drawn: is it seen, or is there an observer, who is told of everything? */
bool rl_paint_wants(const RlPaint *paint, RlRect box);

#endif
