/* SPDX-License-Identifier: ISC */
/* Looks at other programs' windows.
     peer inner TITLE    the ids of the windows on the screen with that title and no windows inside
     peer size ID        width and height
     peer picture ID     a number that changes when the picture does, and how many colours it has
     peer quit ID        asks it to close, as a window manager does
   1 if there is none or it is gone. */
#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static Display *display;

static int
error_pass(Display *const d, XErrorEvent *const event)
{
  (void)d, (void)event;
  return 0;
}

static int
inner(const Window window, const char *const title)
{
  Window            root, parent, *children = NULL;
  unsigned          count = 0;
  int               found = 0;
  char             *name  = NULL;
  XWindowAttributes seen;
  if (!XQueryTree(display, window, &root, &parent, &children, &count)) {
    return 0;
  }
  if (!count && XFetchName(display, window, &name) && !strcmp(name, title) &&
      XGetWindowAttributes(display, window, &seen) && seen.map_state == IsViewable) {
    printf("%lu\n", window);
    ++found;
  }
  for (unsigned i = 0; i < count; ++i) {
    found += inner(children[i], title);
  }
  XFree(name);
  XFree(children);
  return found;
}

static int
size(const Window window)
{
  XWindowAttributes seen;
  const int         there = XGetWindowAttributes(display, window, &seen);
  if (there) {
    printf("%d %d\n", seen.width, seen.height);
  }
  return there;
}

static int
picture(const Window window)
{
  enum { COLOURS_MAX = 64 };
  unsigned long     colours[COLOURS_MAX], sum = 5381;
  int               count = 0;
  XWindowAttributes seen;
  XImage           *image = NULL;
  if (!XGetWindowAttributes(display, window, &seen) ||
      !(image = XGetImage(display, window, 0, 0, (unsigned)seen.width, (unsigned)seen.height,
                          AllPlanes, ZPixmap))) {
    return 0;
  }
  for (int y = 0; y < image->height; ++y) {
    for (int x = 0; x < image->width; ++x) {
      const unsigned long pixel = XGetPixel(image, x, y);
      int                 i     = 0;
      while (i < count && colours[i] != pixel) {
        ++i;
      }
      if (i == count && count < COLOURS_MAX) {
        colours[count++] = pixel;
      }
      sum = (sum * 33 + pixel) & UINT32_MAX;
    }
  }
  printf("%lu %d\n", sum, count);
  XDestroyImage(image);
  return 1;
}

static int
quit(const Window window)
{
  XEvent event               = {0};
  event.xclient.type         = ClientMessage;
  event.xclient.window       = window;
  event.xclient.message_type = XInternAtom(display, "WM_PROTOCOLS", False);
  event.xclient.format       = 32;
  event.xclient.data.l[0]    = (long)XInternAtom(display, "WM_DELETE_WINDOW", False);
  return XSendEvent(display, window, False, NoEventMask, &event);
}

int
main(const int argc, char **const argv)
{
  const Window window = argc == 3 ? (Window)strtoul(argv[2], NULL, 0) : None;
  int          good   = 0;
  if (argc != 3 || !(display = XOpenDisplay(NULL))) {
    return EXIT_FAILURE;
  }
  XSetErrorHandler(error_pass);
  if (!strcmp(argv[1], "inner")) {
    good = inner(DefaultRootWindow(display), argv[2]);
  } else if (!strcmp(argv[1], "size")) {
    good = size(window);
  } else if (!strcmp(argv[1], "picture")) {
    good = picture(window);
  } else if (!strcmp(argv[1], "quit")) {
    good = quit(window);
  }
  XCloseDisplay(display);
  return good ? EXIT_SUCCESS : EXIT_FAILURE;
}
