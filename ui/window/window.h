/* SPDX-License-Identifier: ISC */
/* The window on the screen: shows what its callbacks draw with Cairo, and passes on what a person
   does. Made by Pugl, run with X11; see README.md for why. The thread of the host's window only. */
#ifndef RL_UI_WINDOW_WINDOW_H
#define RL_UI_WINDOW_WINDOW_H

#include "ui/model/input.h"
#include "ui/paint/rect.h"

#include <cairo.h>

typedef struct RlWindow RlWindow;

/** What is shown, and who receives the input. All are called from rl_window_idle() only. */
typedef struct {
  void *data;
  /** Writes the parts of a window of that size (pixels) that must be drawn again, at most
      RL_DAMAGE_MAX; returns how many, 0 for none. Asked at every rl_window_idle(). */
  int (*changed)(void *data, int width, int height, RlRect *damage);
  /** Draws the window; `cr` is clipped to the parts that changed, or were exposed or resized. */
  void (*draw)(void *data, cairo_t *cr, int width, int height);
  /** True if the input was used. A key that was not goes back to the host where that is possible.
   */
  bool (*input)(void *data, const RlInput *input);
  /** Is a text being typed? While it is, the window has the input focus; asked after each input and
      at every rl_window_idle(). */
  bool (*typing)(void *data);
} RlWindowCallbacks;

/** The size that a window first has, and the least it can be used with; pixels. */
typedef struct {
  int width, height, least_width, least_height;
} RlSizes;

/** Opens a window inside `parent` (an X11 window; 0: one of its own with `title`). NULL where there
    is no display or no GLX; one line on stderr says why. The host's X errors and its current GL
    context stay as they are. */
RlWindow *rl_window_open(unsigned long parent, const char *title, RlSizes sizes,
                         const RlWindowCallbacks *callbacks);

/** The X11 window, for the host. */
unsigned long rl_window_id(const RlWindow *window);

/** Handles the events that have come, asks what has changed, and draws that. Call it about 30 times
    a second. False once the window was closed by the person or is gone. */
bool rl_window_idle(RlWindow *window);

/** Gives the window another size, in pixels, for the host. */
void rl_window_resize(RlWindow *window, int width, int height);

/** Also a window that is gone already, and NULL. */
void rl_window_close(RlWindow *window);

#endif
