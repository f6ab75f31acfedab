/* SPDX-License-Identifier: ISC */
#include "ui/window/x_focus.h"

#include <X11/Xatom.h>

RlXFocus
rl_x_focus(Display *const display, const Window own)
{
  return (RlXFocus){display, own, XInternAtom(display, "REEDLAMP_FOCUS_FROM", False), false};
}

static Window
focused(const RlXFocus *const f)
{
  Window window = None;
  int    revert;
  XGetInputFocus(f->display, &window, &revert);
  return window;
}

/* From which window a window of ours has borrowed the focus, in this program or another; None if it
   has not. */
static Window
lender_of(const RlXFocus *const f, const Window window)
{
  Atom           type   = None;
  int            format = 0;
  unsigned long  count = 0, left = 0;
  unsigned char *value  = NULL;
  Window         lender = None;
  if (window == None || window == PointerRoot ||
      XGetWindowProperty(f->display, window, f->lender, 0, 1, False, XA_WINDOW, &type, &format,
                         &count, &left, &value) != Success) {
    return None;
  }
  if (value && type == XA_WINDOW && format == 32 && count == 1) {
    lender = *(const Window *)(const void *)value; /* Xlib has 32 bits in an unsigned long */
  }
  XFree(value);
  return lender;
}

static bool
shown(const RlXFocus *const f)
{
  XWindowAttributes seen;
  return XGetWindowAttributes(f->display, f->own, &seen) && seen.map_state == IsViewable;
}

/* Where the focus comes from is written on the window itself: another one of ours that takes it
   from this one will give it back past it, for nothing may be typed here any more by then. */
void
rl_x_focus_take(RlXFocus *const f)
{
  const Window now    = focused(f);
  const Window past   = lender_of(f, now);
  const Window lender = past == None ? now : past;
  if (now == f->own || !shown(f)) {
    return;
  }
  XChangeProperty(f->display, f->own, f->lender, XA_WINDOW, 32, PropModeReplace,
                  (const unsigned char *)&lender, 1);
  XSetInputFocus(f->display, f->own, RevertToParent, CurrentTime);
  f->borrowed = true;
}

/* The window it came from may be hidden or gone: then the window around this one, which is the
   host's. */
void
rl_x_focus_return(RlXFocus *const f)
{
  Window   root = None, parent = None, *children = NULL;
  unsigned count = 0;
  if (f->borrowed && focused(f) == f->own) {
    XSetInputFocus(f->display, lender_of(f, f->own), RevertToParent, CurrentTime);
    if (focused(f) == f->own && XQueryTree(f->display, f->own, &root, &parent, &children, &count)) {
      XFree(children);
      XSetInputFocus(f->display, parent, RevertToParent, CurrentTime);
    }
  }
  if (f->borrowed) {
    XDeleteProperty(f->display, f->own, f->lender);
  }
  f->borrowed = false;
}
