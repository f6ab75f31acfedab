/* SPDX-License-Identifier: ISC */
/* The input focus, which the window has while something is typed, and never otherwise. */
#include "drive.h"

#include <X11/keysym.h>
#include <stdio.h>
#include <stdlib.h>

static Window
plain_window(void)
{
  const Window w =
    XCreateSimpleWindow(rl_drive_display, DefaultRootWindow(rl_drive_display), 0, 0, 9, 9, 0, 0, 0);
  XMapWindow(rl_drive_display, w);
  return w;
}

static void
focus_set(const Window window)
{
  XSetInputFocus(rl_drive_display, window, RevertToPointerRoot, CurrentTime);
  XSync(rl_drive_display, False);
}

static void
focus_is(const Window window, const char *const when)
{
  Window now;
  int    revert;
  XGetInputFocus(rl_drive_display, &now, &revert);
  if (now != window) {
    printf("the focus is elsewhere %s\n", when);
    exit(EXIT_FAILURE);
  }
}

/* A click on the first bar of the chart opens its field. */
static void
bar_click(Opened *const o)
{
  for (int i = 0; i < 2; ++i) {
    XEvent event         = {0};
    event.type           = i ? ButtonRelease : ButtonPress;
    event.xbutton.window = o->child;
    event.xbutton.x      = 926;
    event.xbutton.y      = 168;
    event.xbutton.button = Button1;
    XSendEvent(rl_drive_display, o->child, True, i ? ButtonReleaseMask : ButtonPressMask, &event);
  }
  XSync(rl_drive_display, False);
  rl_drive_idle(o, 5);
}

static void
escape(Opened *const o)
{
  XEvent event       = {0};
  event.type         = KeyPress;
  event.xkey.window  = o->child;
  event.xkey.keycode = XKeysymToKeycode(rl_drive_display, XK_Escape);
  XSendEvent(rl_drive_display, o->child, True, KeyPressMask, &event);
  XSync(rl_drive_display, False);
  rl_drive_idle(o, 5);
}

/* What is to be done with the focus in a window whose field is open, and by whom. */
static void
focus_taken_and_returned(Opened *const o, const Window host, const Window other)
{
  focus_set(host);
  rl_drive_idle(o, 5);
  focus_is(host, "before anything is typed");
  bar_click(o);
  focus_is(o->child, "while something is typed");
  escape(o);
  focus_is(host, "after Escape");
  bar_click(o);
  rl_drive_chart_tell(o); /* the plugin has another chart: what was typed belongs to none */
  rl_drive_idle(o, 5);
  focus_is(host, "after the field was closed from elsewhere");
  bar_click(o);
  focus_set(other); /* a person goes elsewhere */
  rl_drive_idle(o, 5);
  focus_is(other, "after a person went elsewhere");
  escape(o);
  focus_is(other, "after a person went elsewhere and the field was closed");
  bar_click(o);
  focus_set(host);
  bar_click(o);
  focus_is(o->child, "after a click where something is typed");
  escape(o);
}

/* Hidden, then shown again: what is hidden cannot have the focus. */
static void
focus_hidden(Opened *const o, const Window host)
{
  focus_set(host);
  bar_click(o);
  XUnmapWindow(rl_drive_display, o->parent);
  XSync(rl_drive_display, False);
  rl_drive_idle(o, 5);
  focus_set(host);
  escape(o);
  bar_click(o);
  focus_is(host, "while the window is hidden");
  escape(o);
  XMapWindow(rl_drive_display, o->parent);
  XSync(rl_drive_display, False);
  rl_drive_idle(o, 5);
  focus_is(host, "after the window was hidden");
}

static void
focus_lender_gone(Opened *const o)
{
  const Window lender = plain_window();
  focus_set(lender);
  bar_click(o);
  XDestroyWindow(rl_drive_display, lender);
  XSync(rl_drive_display, False);
  escape(o);
  focus_is(o->parent, "after the window it came from has gone");
}

/* One window takes it from another, which has ended meanwhile: it goes back past that one. */
static void
focus_of_two(Opened *const o, const Window host)
{
  Opened *const second = rl_drive_opened_surely();
  rl_drive_chart_tell(second);
  rl_drive_idle(second, 10);
  focus_set(host);
  bar_click(o);
  bar_click(second);
  focus_is(second->child, "in the second window");
  escape(o);
  focus_is(second->child, "in the second window after the first has ended");
  escape(second);
  focus_is(host, "after both have ended");
  rl_drive_closed(second);
}

void
rl_drive_focus(void)
{
  Opened *const o    = rl_drive_opened_surely();
  const Window  host = plain_window(), other = plain_window();
  rl_drive_chart_tell(o);
  rl_drive_idle(o, 10);
  focus_taken_and_returned(o, host, other);
  focus_hidden(o, host);
  focus_lender_gone(o);
  focus_of_two(o, host);
  focus_set(host);
  bar_click(o);
  focus_is(o->child, "at last");
  rl_drive_closed(o);
  focus_is(host, "after the window was closed");
}
