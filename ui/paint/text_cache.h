/* SPDX-License-Identifier: ISC */
/* The text cache: lines that were laid out lately, glows and the outlines of music signs, so that
   they need not be made again for every frame. Included by ui/paint only. */
#ifndef RL_UI_PAINT_TEXT_CACHE_H
#define RL_UI_PAINT_TEXT_CACHE_H

#include "ui/paint/text.h"

#include <pango/pangocairo.h>

enum { RL_WORDS = 1024, RL_WORD_SIZE = 48, RL_GLOWS = 4, RL_EDGES = 4, RL_EDGE_EM = 128 };

/* A glow, drawn once: a gradient takes long, an image does not. In pixels. */
typedef struct {
  cairo_surface_t *picture;
  int              w, h;
  double           strength;
} RlGlow;

/* The outline of a music sign, drawn at a size of RL_EDGE_EM units. */
typedef struct {
  cairo_surface_t *drawn;
  PangoGlyph       glyph;
  double           red, green, blue;
} RlEdge;

/* A line of text, laid out. Found by a hash of text, size and font. */
typedef struct {
  char             text[RL_WORD_SIZE];
  double           size, scale; /* scale: of the cairo_t it was laid out for */
  RlFont           font;
  PangoLayout     *layout;
  double           width;      /* logical */
  double           rise, hang; /* of the ink, above and below the line it stands on */
  bool             signs;      /* it has music signs, which take long to draw: shown by its mask */
  cairo_surface_t *mask;
  int              left, top; /* of the mask from the beginning of the line, in pixels */
} RlWord;

struct RlTextCache {
  PangoContext *context;
  RlWord        word[RL_WORDS];
  RlGlow        glow[RL_GLOWS];
  RlEdge        edge[RL_EDGES];
  int           next_glow, next_edge;
};

#endif
