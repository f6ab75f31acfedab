/* SPDX-License-Identifier: ISC */
#include "ui/window/keys.h"
#include "ui/window/pane.h"

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <X11/keysym.h>
#include <pugl/pugl.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
/* Last: it brings macros that other headers would trip over. */
#include <GL/glx.h>

/* The old Pugl makes the window, its connection to the X server and a GL context that goes unused:
   thirty times a second, small parts changed, 1280 by 720, with Mesa's software renderer it took
   17 % of a core to swap the window, 3 % to copy those parts with GL, 1 % to put them there with X.
   Pugl's own way with events is not used once the window is there: it draws all at every exposure,
   knows no keys beyond ASCII and no clipboard, and trips over messages of a type it does not know.
 */
struct RlWindow {
  RlWindowCallbacks face;
  PuglView         *view;
  Display          *display; /* Pugl's; NULL until the window is on the screen */
  Window            id;
  Atom delete, protocols, clipboard, utf8, pasted;
  RlPane pane;
  GC     gc;
  int    depth; /* index in depths */
  bool   gone;
};

/* ---- The host's X errors and GL context stay the host's ---- */

/* An X error ends the host unless it is caught. While a guard is up, those of one connection are
   swallowed in this thread (or all: Pugl's is not known at first); the rest go where they went. */
typedef struct {
  XErrorHandler handler;
  Display      *display;
  bool          all;
} Guard;

static _Atomic(XErrorHandler) handler_before;
static _Thread_local Display *guarded;
static _Thread_local bool     guarded_all;

static int
error_caught(Display *const display, XErrorEvent *const event)
{
  const XErrorHandler before = atomic_load(&handler_before);
  return guarded_all || display == guarded || !before ? 0 : before(display, event);
}

static Guard
guard_up(Display *const display)
{
  const Guard g = {XSetErrorHandler(error_caught), guarded, guarded_all};
  guarded       = display;
  guarded_all   = !display;
  if (g.handler != error_caught) {
    atomic_store(&handler_before, g.handler);
  }
  return g;
}

static void
guard_down(const Guard *const g)
{
  XSetErrorHandler(g->handler);
  guarded     = g->display;
  guarded_all = g->all;
}

/* Who has GL in this thread. */
typedef struct {
  Display    *display;
  GLXDrawable draw, read;
  GLXContext  context;
} Current;

static Current
current_now(void)
{
  return (Current){glXGetCurrentDisplay(), glXGetCurrentDrawable(), glXGetCurrentReadDrawable(),
                   glXGetCurrentContext()};
}

/* Pugl leaves its context current, and would destroy it so. */
static void
current_give_back(const Current *const before)
{
  const Current after = current_now();
  if (before->context && after.context != before->context) {
    glXMakeContextCurrent(before->display, before->draw, before->read, before->context);
  } else if (!before->context && after.context) {
    glXMakeCurrent(after.display, None, NULL);
  }
}

/* ---- What a person does ---- */

/* By RlKeyName. */
static const KeySym keys[][3] = {{XK_Return, XK_KP_Enter},
                                 {XK_Escape},
                                 {XK_Tab, XK_KP_Tab, XK_ISO_Left_Tab},
                                 {XK_BackSpace},
                                 {XK_Delete, XK_KP_Delete},
                                 {XK_Left, XK_KP_Left},
                                 {XK_Right, XK_KP_Right},
                                 {XK_Up, XK_KP_Up},
                                 {XK_Down, XK_KP_Down},
                                 {XK_Home, XK_KP_Home},
                                 {XK_End, XK_KP_End},
                                 {XK_Page_Up, XK_KP_Page_Up},
                                 {XK_Page_Down, XK_KP_Page_Down}};

/* A key as RlInput has it, 0 if it has none. */
static int
key_named(XKeyEvent *const event)
{
  char   text[8] = "";
  KeySym sym     = NoSymbol;
  XLookupString(event, text, sizeof(text), &sym, NULL);
  for (int i = 0; sym && i < (int)(sizeof(keys) / sizeof(keys[0])); ++i) {
    if (sym == keys[i][0] || sym == keys[i][1] || sym == keys[i][2]) {
      return RL_KEY_ENTER + i;
    }
  }
  if (sym >= XK_KP_Multiply && sym <= XK_KP_9) {
    return (int)(sym - XK_KP_Multiply) + '*';
  }
  const bool unicode = (sym & 0xFF000000U) == 0x01000000U;
  const int  key     = (int)(unicode ? sym & 0xFFFFFFU : sym);
  const bool latin   = (key >= ' ' && key <= '~') || (key >= 0xA0 && key <= 0xFF);
  return latin || (unicode && key < RL_KEY_ENTER) ? key : 0;
}

static RlInput
input_of(const RlInputKind kind, const int x, const int y, const unsigned state)
{
  return (RlInput){.kind    = kind,
                   .x       = x,
                   .y       = y,
                   .shift   = (state & ShiftMask) != 0,
                   .control = (state & ControlMask) != 0,
                   .alt     = (state & Mod1Mask) != 0};
}

static bool
tell(RlWindow *const w, const RlInput *const input)
{
  return w->face.input(w->face.data, input);
}

/* A key nobody here wants goes up to the host, unless the host has just handed it down. */
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
key_take(RlWindow *const w, XKeyEvent *const event)
{
  RlInput    input = input_of(RL_INPUT_KEY, event->x, event->y, event->state);
  const bool paste = input.control && !input.alt;
  input.key        = key_named(event);
  if (!input.key || !tell(w, &input)) {
    key_return(w, *event);
  } else if (paste && (input.key == 'v' || input.key == 'V')) {
    XConvertSelection(w->display, w->clipboard, w->utf8, w->pasted, w->id, event->time);
  }
}

/* What lay on the clipboard comes as keys. */
static void
paste_take(RlWindow *const w, const XSelectionEvent *const event)
{
  enum { MOST = 16384 }; /* in 4 bytes: as long as four charts may be */
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
    rl_keys_type(&w->face, (RlSlice){(const char *)text, count});
  }
  XFree(text);
}

static void
button_take(RlWindow *const w, const XButtonEvent *const event)
{
  const bool press = event->type == ButtonPress;
  RlInput    input =
    input_of(press ? RL_INPUT_PRESS : RL_INPUT_RELEASE, event->x, event->y, event->state);
  if (press && (event->button == Button4 || event->button == Button5)) {
    input.kind   = RL_INPUT_SCROLL;
    input.scroll = event->button == Button4 ? 1 : -1;
  } else if (event->button != Button1) {
    return;
  }
  tell(w, &input);
}

/* Of moves that follow each other only the last counts. */
static void
motion_take(RlWindow *const w, const XMotionEvent *const event)
{
  const RlInput input = input_of(RL_INPUT_MOVE, event->x, event->y, event->state);
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

/* The pointer is nowhere, unless a button holds it. */
static void
leave_take(RlWindow *const w, const XCrossingEvent *const event)
{
  const RlInput input = input_of(RL_INPUT_MOVE, -1, -1, event->state);
  if (event->mode == NotifyNormal && !(event->state & Button1Mask)) {
    tell(w, &input);
  }
}

/* ---- Events ---- */

/* Pixels as Cairo paints them for screens of that depth. */
static const struct {
  int            depth, bits;
  cairo_format_t format;
} depths[] = {{24, 32, CAIRO_FORMAT_RGB24},
              {32, 32, CAIRO_FORMAT_ARGB32},
              {30, 32, CAIRO_FORMAT_RGB30},
              {16, 16, CAIRO_FORMAT_RGB16_565}};

/* Puts a part of the pane into the window. */
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
event_take(RlWindow *const w, XEvent *const event)
{
  const XExposeEvent *const bare = &event->xexpose;
  switch (event->type) {
  case Expose:
    rl_pane_expose(&w->pane, (RlRect){bare->x, bare->y, bare->width, bare->height});
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
    key_take(w, &event->xkey);
    break;
  case ButtonPress:
  case ButtonRelease:
    button_take(w, &event->xbutton);
    break;
  case MotionNotify:
    motion_take(w, &event->xmotion);
    break;
  case LeaveNotify:
    leave_take(w, &event->xcrossing);
    break;
  case SelectionNotify:
    paste_take(w, &event->xselection);
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
  const Guard g = guard_up(w->display);
  while (!w->gone && XPending(w->display)) {
    XEvent event;
    XNextEvent(w->display, &event);
    if (event.xany.window == w->id || event.type == MappingNotify) {
      event_take(w, &event);
    }
  }
  if (!w->gone) {
    rl_pane_draw(&w->pane, &w->face);
    rl_pane_show(&w->pane, part_put, w);
    XFlush(w->display);
  }
  guard_down(&g);
  return !w->gone;
}

void
rl_window_resize(RlWindow *const w, const int width, const int height)
{
  const Guard g = guard_up(w->display);
  if (!w->gone && width > 0 && height > 0) {
    XResizeWindow(w->display, w->id, (unsigned)width, (unsigned)height);
    XFlush(w->display);
  }
  guard_down(&g);
}

unsigned long
rl_window_id(const RlWindow *const w)
{
  return w->id;
}

/* ---- Opening and closing ---- */

/* Why Pugl could not open a window here (it would crash), NULL if it can. */
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
    why = "the host's window is not there";
  }
  XFree(visual);
  return why;
}

/* Called by Pugl when the window has come onto the screen, with its context current: the one way to
   learn its connection. From here on Pugl gets no more events. */
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

/* Until the window is there: Pugl does not wait for it, and a host that used it sooner would die.
 */
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

/* Hosts take these for the sizes they may give the window. */
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
  w->gc        = XCreateGC(w->display, w->id, 0, NULL);
  rl_pane_resize(&w->pane, seen.width, seen.height);
  return true;
}

RlWindow *
rl_window_open(const unsigned long parent, const char *const title, const RlSizes sizes,
               const RlWindowCallbacks *const face)
{
  const Current   current = current_now();
  const Guard     g       = guard_up(NULL);
  Display *const  probe   = XOpenDisplay(NULL); /* kept: a server left alone may begin anew */
  const char     *why     = hindrance(probe, parent);
  RlWindow *const w       = why ? NULL : calloc(1, sizeof(RlWindow));
  bool            open    = false;
  if (w &&
      (w->view = puglCreate((PuglNativeWindow)parent, title, sizes.width, sizes.height, true))) {
    w->face = *face;
    w->id   = (Window)puglGetNativeWindow(w->view);
    puglSetHandle(w->view, w);
    puglSetReshapeFunc(w->view, shown);
    shown_wait(w);
    current_give_back(&current);
    open = w->display && screen_open(w, sizes);
  }
  if (probe) {
    XCloseDisplay(probe);
  }
  guard_down(&g);
  if (!open) {
    fprintf(stderr, "Reedlamp: no window: %s\n", why ? why : "it did not come onto the screen");
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
  const Guard g = guard_up(w->display);
  if (w->gc) {
    XFreeGC(w->display, w->gc);
  }
  rl_pane_free(&w->pane);
  puglDestroy(w->view);
  guard_down(&g);
  free(w);
}
