/* SPDX-License-Identifier: ISC */
/* Compares two PNG pictures: compare GOLDEN NEW
   or writes a golden one:    compare --renew NEW GOLDEN FACTOR

   The golden one may be smaller by a whole factor: each of its pixels is the mean of FACTOR x
   FACTOR of the new one's. A little may differ, as fonts and rounding do between machines: the mean
   of all differences at most 0.6 of 255, and of those beyond 48 at most one pixel in 200. */
#include <cairo.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double mean_most = 0.6, far_most = 0.005;

enum { FAR = 48 };

static cairo_surface_t *
load(const char *const path)
{
  cairo_surface_t *const picture = cairo_image_surface_create_from_png(path);
  if (cairo_surface_status(picture) != CAIRO_STATUS_SUCCESS) {
    fprintf(stderr, "%s: cannot be read\n", path);
    exit(EXIT_FAILURE);
  }
  return picture;
}

static int
channel(cairo_surface_t *const picture, const int x, const int y, const int which)
{
  const unsigned char *const row =
    cairo_image_surface_get_data(picture) + y * cairo_image_surface_get_stride(picture);
  return row[4 * x + which];
}

/* The mean of a square of `factor`. */
static int
channel_mean(cairo_surface_t *const picture, const int x, const int y, const int which,
             const int factor)
{
  int sum = 0;
  for (int i = 0; i < factor * factor; ++i) {
    sum += channel(picture, x * factor + i % factor, y * factor + i / factor, which);
  }
  return (sum + factor * factor / 2) / (factor * factor);
}

static int
compare(const char *const golden_path, const char *const new_path)
{
  cairo_surface_t *const golden = load(golden_path);
  cairo_surface_t *const fresh  = load(new_path);
  const int              w      = cairo_image_surface_get_width(golden);
  const int              h      = cairo_image_surface_get_height(golden);
  const int              factor = cairo_image_surface_get_width(fresh) / w;
  double                 sum    = 0;
  int                    far    = 0;
  if (factor < 1 || cairo_image_surface_get_width(fresh) != w * factor ||
      cairo_image_surface_get_height(fresh) != h * factor) {
    fprintf(stderr, "%s: another size\n", new_path);
    return EXIT_FAILURE;
  }
  for (int y = 0; y < h; ++y) {
    for (int x = 0; x < w; ++x) {
      int most = 0;
      for (int c = 0; c < 3; ++c) {
        const int off = abs(channel(golden, x, y, c) - channel_mean(fresh, x, y, c, factor));
        sum += off;
        most = off > most ? off : most;
      }
      far += most > FAR;
    }
  }
  const double mean = sum / 3 / w / h;
  const double part = (double)far / w / h;
  printf("%s: mean %.3f, far %.4f\n", new_path, mean, part);
  return mean <= mean_most && part <= far_most ? EXIT_SUCCESS : EXIT_FAILURE;
}

static int
renew(const char *const new_path, const char *const golden_path, const int factor)
{
  cairo_surface_t *const fresh  = load(new_path);
  const int              w      = cairo_image_surface_get_width(fresh) / factor;
  const int              h      = cairo_image_surface_get_height(fresh) / factor;
  cairo_surface_t *const golden = cairo_image_surface_create(CAIRO_FORMAT_RGB24, w, h);
  unsigned char *const   data   = cairo_image_surface_get_data(golden);
  cairo_surface_flush(golden);
  for (int y = 0; y < h; ++y) {
    for (int x = 0; x < w; ++x) {
      for (int c = 0; c < 3; ++c) {
        data[y * cairo_image_surface_get_stride(golden) + 4 * x + c] =
          (unsigned char)channel_mean(fresh, x, y, c, factor);
      }
    }
  }
  cairo_surface_mark_dirty(golden);
  return cairo_surface_write_to_png(golden, golden_path) == CAIRO_STATUS_SUCCESS ? EXIT_SUCCESS
                                                                                 : EXIT_FAILURE;
}

int
main(const int argc, char **const argv)
{
  if (argc == 5 && !strcmp(argv[1], "--renew")) {
    return renew(argv[2], argv[3], atoi(argv[4]) < 1 ? 1 : atoi(argv[4]));
  }
  if (argc != 3) {
    fputs("usage: compare GOLDEN NEW | compare --renew NEW GOLDEN FACTOR\n", stderr);
    return EXIT_FAILURE;
  }
  return compare(argv[1], argv[2]);
}
