/* SPDX-License-Identifier: ISC */
/* What keeps the host alive while its thread runs our X11 and GL calls: X errors on our connection
   are swallowed, and the GL context that was current comes back. Any thread that has a window;
   guards may be nested. */
#ifndef RL_UI_WINDOW_X_GUARD_H
#define RL_UI_WINDOW_X_GUARD_H

#include <X11/Xlib.h>
#include <stdbool.h>
/* Last: it brings macros that other headers would trip over. */
#include <GL/glx.h>

/** What was in force before; for rl_x_guard_down(). */
typedef struct {
  XErrorHandler handler;
  Display      *display;
  bool          all;
} RlXGuard;

/** Swallows the X errors of one connection in this thread; of all, with NULL (Pugl's connection is
    not known until its window is shown). Errors of others go to the handler that was set before. By
    default Xlib ends the process at an error: the host's. */
RlXGuard rl_x_guard_up(Display *display);
void     rl_x_guard_down(const RlXGuard *guard);

/** The GL context that is current in this thread. */
typedef struct {
  Display    *display;
  GLXDrawable draw, read;
  GLXContext  context;
} RlGlCurrent;

RlGlCurrent rl_gl_current(void);

/** Makes it current again, or none if none was. Pugl leaves its own current, and would destroy it
    so. */
void rl_gl_restore(const RlGlCurrent *before);

#endif
