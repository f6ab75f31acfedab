/* SPDX-License-Identifier: ISC */
/* Pictures whose texts are not drawn but listed: where each stands, in which colour, and on what.
 */
#ifndef RL_GALLERY_H
#define RL_GALLERY_H

#include "ui/controller/controller.h"
#include "ui/layout/layout.h"

enum { RL_GALLERY_WORDS = 2048, RL_GALLERY_TEXT = 96 };

typedef struct {
  char     text[RL_GALLERY_TEXT];
  RlRect   ink, box, clip; /**< in units */
  double   size;
  unsigned colour;    /**< 0xRRGGBB of the letters */
  double   contrast;  /**< with what they stand on, the worst pixel's; 0: not looked at */
  double   ground[3]; /**< linear red, green, blue of what they stand on, in the mean */
} RlShown;

typedef struct {
  int      width, height, count;
  RlLayout layout;
  RlShown  word[RL_GALLERY_WORDS];
} RlGallery;

/** Draws a view; with `colours` into an image, so that the contrast of each text is measured, which
    takes longer. */
void rl_gallery_take(RlGallery *gallery, const RlView *view, int width, int height, bool colours);

/** Contrast of two colours of linear red, green, blue: WCAG 2.1, (L1 + 0.05) / (L2 + 0.05), L =
    0.2126 R + 0.7152 G + 0.0722 B. */
double rl_gallery_contrast(const double a[3], const double b[3]);

/** Linear parts of 0xRRGGBB. Source: IEC 61966-2-1, sRGB. */
void rl_gallery_linear(unsigned colour, double linear[3]);

double rl_gallery_luminance(const double linear[3]);

#endif
