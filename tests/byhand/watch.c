/* SPDX-License-Identifier: ISC */
/* When does a bar light up on the screen? watch WINDOW SECONDS X Y...
   Looks at points of a window every millisecond; says "lit N SECONDS" (on CLOCK_MONOTONIC) when the
   N-th (from 1) takes the colour of the playing bar. */
#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { POINTS_MAX = 64, LIT = 0xFFDB94 };

static double
now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static bool
lit(Display *const display, const Window window, const int x, const int y)
{
  XImage *const image = XGetImage(display, window, x, y, 1, 1, AllPlanes, ZPixmap);
  const bool    is    = image && (XGetPixel(image, 0, 0) & 0xFFFFFF) == LIT;
  if (image) {
    XDestroyImage(image);
  }
  return is;
}

int
main(const int argc, char **const argv)
{
  Display *const display = XOpenDisplay(NULL);
  bool           was[POINTS_MAX];
  const int      points = (argc - 3) / 2;
  if (!display || points < 1 || points > POINTS_MAX) {
    return EXIT_FAILURE;
  }
  const Window window = (Window)strtoul(argv[1], NULL, 0);
  for (int i = 0; i < points; ++i) {
    was[i] = true; /* nobody knows since when */
  }
  for (const double end = now() + atof(argv[2]); now() < end;) {
    for (int i = 0; i < points; ++i) {
      const bool is = lit(display, window, atoi(argv[3 + 2 * i]), atoi(argv[4 + 2 * i]));
      if (is && !was[i]) {
        printf("lit %d %.6f\n", i + 1, now());
        fflush(stdout);
      }
      was[i] = is;
    }
    nanosleep(&(struct timespec){0, 1000000}, NULL);
  }
  XCloseDisplay(display);
  return EXIT_SUCCESS;
}
