/* SPDX-License-Identifier: ISC */
#include "ui/window/keys.h"
#include "ui/window/pane.h"
#include "ui/window/x_focus.h"
#include "ui/window/x_guard.h"
#include "ui/window/x_input.h"

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <pugl/pugl.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
/* Last: it brings macros that other headers would trip over. */
#include <GL/glx.h>

/* Pugl makes the window, its connection to the X server and a GL context that is not used: in a
   window of 1280 by 720 where small parts change thirty times a second, with Mesa's software
   renderer, it took 17 % of a core to swap buffers, 3 % to copy those parts with GL and 1 % to copy
   them with X. Once the window is shown Pugl gets no events any more: it would draw everything at
   each exposure, knows no keys beyond ASCII and no clipboard, and fails at client messages it does
   not know. */
struct RlWindow {
  RlWindowCallbacks callbacks;
  PuglView         *view;
  Display          *display; /* Pugl's; NULL until the window is on the screen */
  Window            id;
  Atom delete, protocols, clipboard, utf8, pasted;
  RlPane   pane;
  RlXFocus focus;
  GC       gc;
  int      depth; /* index in depths */
  bool     typing, gone;
};

/* ---- What a person does ---- */

/* The focus is taken when typing begins, and once more when a button goes down meanwhile: a person
   who had gone elsewhere is back. */
static void
focus_update(RlWindow *const w, const bool pressed)
{
  const bool typing = w->callbacks.typing(w->callbacks.data);
  if (typing && (pressed || !w->typing)) {
    rl_x_focus_take(&w->focus);
  } else if (!typing && w->typing) {
    rl_x_focus_return(&w->focus);
  }
  w->typing = typing;
}

static bool
tell(RlWindow *const w, const RlInput *const input)
{
  const bool used = w->callbacks.input(w->callbacks.data, input);
  focus_update(w, input->kind == RL_INPUT_PRESS);
  return used;
}

/* Sends a key that was not used to the host's window, unless it came from there. */
static void
key_return(RlWindow *const w, XKeyEvent event)
{
  Window   root = None, parent = None, *children = NULL;
  unsigned count = 0;
  if (!event.send_event && XQueryTree(w->display, w->id, &root, &parent, &children, &count)) {
    XFree(children);
    if (parent != root && parent != None) {
      event.window    = parent;
      event.subwindow = w->id;
      XSendEvent(w->display, parent, True, KeyPressMask, (XEvent *)&event);
    }
  }
}

static void
key_event(RlWindow *const w, XKeyEvent *const event)
{
  RlInput    input = rl_x_input(RL_INPUT_KEY, event->x, event->y, event->state);
  const bool paste = input.control && !input.alt;
  input.key        = rl_x_key(event);
  if (!input.key || !tell(w, &input)) {
    key_return(w, *event);
  } else if (paste && (input.key == 'v' || input.key == 'V')) {
    XConvertSelection(w->display, w->clipboard, w->utf8, w->pasted, w->id, event->time);
  }
}

/* The clipboard's text has come. */
static void
paste_event(RlWindow *const w, const XSelectionEvent *const event)
{
  enum { MOST = 16384 }; /* units of 4 bytes: four charts of the greatest length */
  Atom           type   = None;
  int            format = 0;
  unsigned long  count = 0, left = 0;
  unsigned char *text = NULL;
  if (event->property != w->pasted ||
      XGetWindowProperty(w->display, w->id, w->pasted, 0, MOST, True, AnyPropertyType, &type,
                         &format, &count, &left, &text) != Success) {
    return;
  }
  if (text && type == w->utf8 && format == 8) {
    rl_keys_type(&w->callbacks, (RlSlice){(const char *)text, count});
  }
  XFree(text);
}

static void
button_event(RlWindow *const w, const XButtonEvent *const event)
{
  RlInput input;
  if (rl_x_button(event, &input)) {
    tell(w, &input);
  }
}

/* Of moves that follow each other only the last is passed on. */
static void
motion_event(RlWindow *const w, const XMotionEvent *const event)
{
  const RlInput input = rl_x_input(RL_INPUT_MOVE, event->x, event->y, event->state);
  XEvent        next;
  bool          more = XEventsQueued(w->display, QueuedAlready) > 0;
  if (more) {
    XPeekEvent(w->display, &next);
    more = next.type == MotionNotify;
  }
  if (!more) {
    tell(w, &input);
  }
}

/* The pointer has left the window; not while a button is held down on it. */
static void
leave_event(RlWindow *const w, const XCrossingEvent *const event)
{
  const RlInput input = rl_x_input(RL_INPUT_MOVE, -1, -1, event->state);
  if (event->mode == NotifyNormal && !(event->state & Button1Mask)) {
    tell(w, &input);
  }
}

/* ---- Events ---- */

/* Cairo's pixel format for screens of each depth. */
static const struct {
  int            depth, bits;
  cairo_format_t format;
} depths[] = {{24, 32, CAIRO_FORMAT_RGB24},
              {32, 32, CAIRO_FORMAT_ARGB32},
              {30, 32, CAIRO_FORMAT_RGB30},
              {16, 16, CAIRO_FORMAT_RGB16_565}};

/* Copies a part of the pane into the window. */
static void
part_put(void *const data, const cairo_rectangle_int_t *const part)
{
  const RlWindow *const  w       = data;
  cairo_surface_t *const surface = w->pane.surface;
  const uint16_t         one     = 1;
  const int              order   = *(const unsigned char *)&one ? LSBFirst : MSBFirst;
  XImage                 pixels  = {.width      = w->pane.width,
                                    .height     = w->pane.height,
                                    .format     = ZPixmap,
                                    .data       = (char *)cairo_image_surface_get_data(surface),
                                    .byte_order = order,
                                    .bitmap_bit_order = order,
                                    .bitmap_unit      = 32,
                                    .bitmap_pad       = 32,
                                    .depth            = depths[w->depth].depth,
                                    .bits_per_pixel   = depths[w->depth].bits,
                                    .bytes_per_line   = cairo_image_surface_get_stride(surface)};
  if (pixels.data && XInitImage(&pixels)) {
    XPutImage(w->display, w->id, w->gc, &pixels, part->x, part->y, part->x, part->y,
              (unsigned)part->width, (unsigned)part->height);
  }
}

static void
event_handle(RlWindow *const w, XEvent *const event)
{
  const XExposeEvent *const exposed = &event->xexpose;
  switch (event->type) {
  case Expose:
    rl_pane_expose(&w->pane, (RlRect){exposed->x, exposed->y, exposed->width, exposed->height});
    break;
  case ConfigureNotify:
    rl_pane_resize(&w->pane, event->xconfigure.width, event->xconfigure.height);
    break;
  case DestroyNotify:
    w->gone = true;
    break;
  case ClientMessage:
    w->gone = w->gone || (event->xclient.message_type == w->protocols &&
                          (Atom)event->xclient.data.l[0] == w->delete);
    break;
  case KeyPress:
    key_event(w, &event->xkey);
    break;
  case ButtonPress:
  case ButtonRelease:
    button_event(w, &event->xbutton);
    break;
  case MotionNotify:
    motion_event(w, &event->xmotion);
    break;
  case LeaveNotify:
    leave_event(w, &event->xcrossing);
    break;
  case SelectionNotify:
    paste_event(w, &event->xselection);
    break;
  case MappingNotify:
    XRefreshKeyboardMapping(&event->xmapping);
    break;
  default:
    break;
  }
}

bool
rl_window_idle(RlWindow *const w)
{
  const RlXGuard g = rl_x_guard_up(w->display);
  while (!w->gone && XPending(w->display)) {
    XEvent event;
    XNextEvent(w->display, &event);
    if (event.xany.window == w->id || event.type == MappingNotify) {
      event_handle(w, &event);
    }
  }
  if (!w->gone) {
    focus_update(w, false); /* the plugin may have ended typing */
    rl_pane_draw(&w->pane, &w->callbacks);
    rl_pane_show(&w->pane, part_put, w);
    XFlush(w->display);
  }
  rl_x_guard_down(&g);
  return !w->gone;
}

void
rl_window_resize(RlWindow *const w, const int width, const int height)
{
  const RlXGuard g = rl_x_guard_up(w->display);
  if (!w->gone && width > 0 && height > 0) {
    XResizeWindow(w->display, w->id, (unsigned)width, (unsigned)height);
    XFlush(w->display);
  }
  rl_x_guard_down(&g);
}

unsigned long
rl_window_id(const RlWindow *const w)
{
  return w->id;
}

/* ---- Opening and closing ---- */

/* Why Pugl cannot open a window here, where it would crash; NULL: it can. */
static const char *
hindrance(Display *const display, const unsigned long parent)
{
  static int   plain[] = {GLX_RGBA,       GLX_RED_SIZE, 4,   GLX_GREEN_SIZE, 4, GLX_BLUE_SIZE, 4,
                          GLX_DEPTH_SIZE, 16,           None};
  XVisualInfo *visual  = NULL;
  XWindowAttributes seen;
  const char       *why = NULL;
  if (!display) {
    return "there is no X display";
  }
  if (!glXQueryExtension(display, NULL, NULL) ||
      !(visual = glXChooseVisual(display, DefaultScreen(display), plain))) {
    why = "the X display has no GLX";
  } else if (parent && !XGetWindowAttributes(display, parent, &seen)) {
    why = "the host gave no window";
  }
  XFree(visual);
  return why;
}

/* Pugl calls it when the window is shown, with its GL context current: the only way to learn its
   connection. From here on Pugl gets no more events. */
static void
shown(PuglView *const view, const int width, const int height)
{
  RlWindow *const w = puglGetHandle(view);
  (void)width;
  (void)height;
  w->display = glXGetCurrentDisplay();
  if (w->display) {
    XSelectInput(w->display, w->id, NoEventMask);
    XSync(w->display, True);
  }
}

/* Waits until the window is shown. Pugl does not wait for the X server, and a host that uses the
   window before it exists dies of an X error. */
static void
shown_wait(RlWindow *const w)
{
  enum { STEP = 2, MOST = 5000 }; /* milliseconds */
  for (int waited = 0; !w->display && waited < MOST; waited += STEP) {
    puglProcessEvents(w->view);
    if (!w->display) {
      nanosleep(&(struct timespec){0, STEP * 1000000L}, NULL);
    }
  }
}

/* Hosts read from these which sizes they may give the window. */
static void
sizes_hint(const RlWindow *const w, const RlSizes sizes)
{
  XSizeHints hints = {.flags       = PMinSize | PBaseSize,
                      .min_width   = sizes.least_width,
                      .min_height  = sizes.least_height,
                      .base_width  = sizes.width,
                      .base_height = sizes.height};
  XSetWMNormalHints(w->display, w->id, &hints);
}

static bool
screen_open(RlWindow *const w, const RlSizes sizes)
{
  enum { DEPTHS = sizeof(depths) / sizeof(depths[0]) };
  XWindowAttributes seen;
  XSelectInput(w->display, w->id,
               KeyPressMask | ButtonPressMask | ButtonReleaseMask | PointerMotionMask |
                 LeaveWindowMask | ExposureMask | StructureNotifyMask);
  if (!XGetWindowAttributes(w->display, w->id, &seen)) {
    return false;
  }
  while (w->depth < DEPTHS && depths[w->depth].depth != seen.depth) {
    ++w->depth;
  }
  if (w->depth == DEPTHS || !rl_pane_init(&w->pane, depths[w->depth].format)) {
    return false;
  }
  sizes_hint(w, sizes);
  w->protocols = XInternAtom(w->display, "WM_PROTOCOLS", False);
  w->delete    = XInternAtom(w->display, "WM_DELETE_WINDOW", False);
  w->clipboard = XInternAtom(w->display, "CLIPBOARD", False);
  w->utf8      = XInternAtom(w->display, "UTF8_STRING", False);
  w->pasted    = XInternAtom(w->display, "REEDLAMP_PASTED", False);
  w->focus     = rl_x_focus(w->display, w->id);
  w->gc        = XCreateGC(w->display, w->id, 0, NULL);
  rl_pane_resize(&w->pane, seen.width, seen.height);
  return true;
}

RlWindow *
rl_window_open(const unsigned long parent, const char *const title, const RlSizes sizes,
               const RlWindowCallbacks *const callbacks)
{
  const RlGlCurrent current = rl_gl_current();
  const RlXGuard    g       = rl_x_guard_up(NULL);
  Display *const    probe =
    XOpenDisplay(NULL); /* kept open: a server without clients may reset itself */
  const char     *why  = hindrance(probe, parent);
  RlWindow *const w    = why ? NULL : calloc(1, sizeof(RlWindow));
  bool            open = false;
  if (w &&
      (w->view = puglCreate((PuglNativeWindow)parent, title, sizes.width, sizes.height, true))) {
    w->callbacks = *callbacks;
    w->id        = (Window)puglGetNativeWindow(w->view);
    puglSetHandle(w->view, w);
    puglSetReshapeFunc(w->view, shown);
    shown_wait(w);
    rl_gl_restore(&current);
    open = w->display && screen_open(w, sizes);
  }
  if (probe) {
    XCloseDisplay(probe);
  }
  rl_x_guard_down(&g);
  if (!open) {
    fprintf(stderr, "Reedlamp: no window: %s\n", why ? why : "it did not appear on the screen");
    rl_window_close(w);
  }
  return open ? w : NULL;
}

void
rl_window_close(RlWindow *const w)
{
  if (!w) {
    return;
  }
  const RlXGuard g = rl_x_guard_up(w->display);
  if (w->typing) {
    rl_x_focus_return(&w->focus);
  }
  if (w->gc) {
    XFreeGC(w->display, w->gc);
  }
  rl_pane_free(&w->pane);
  puglDestroy(w->view);
  rl_x_guard_down(&g);
  free(w);
}
