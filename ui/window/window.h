/* SPDX-License-Identifier: ISC */
/* The window on the screen: the one file that knows Pugl, GL and X11. Shows what a face draws with
   Cairo, and passes on what a person does. The thread of the host's window only. */
#ifndef RL_UI_WINDOW_WINDOW_H
#define RL_UI_WINDOW_WINDOW_H

#include "ui/model/input.h"
#include "ui/paint/rect.h"

#include <cairo.h>

typedef struct RlWindow RlWindow;

/** What is shown in it, and who is told what a person does. */
typedef struct {
  void *data;
  /** What must be drawn anew in a window of that size: writes up to RL_DAMAGE_MAX parts, returns
      how many, 0 for nothing. Asked at every rl_window_idle(). A new size is drawn whole unasked.
   */
  int (*changed)(void *data, int width, int height, RlRect *damage);
  /** Draws; `cr` is clipped to what changed. */
  void (*draw)(void *data, cairo_t *cr, int width, int height);
  /** True if the face takes it; a key it does not take goes back to the host if that can be done.
   */
  bool (*input)(void *data, const RlInput *input);
} RlWindowCallbacks;

/** The size a window should first have, and the least it can do with, in pixels. */
typedef struct {
  int width, height, least_width, least_height;
} RlSizes;

/** Opens a window inside `parent` (an X11 window, 0 for one of its own with `title`).
    NULL where there is no display or no GLX; one line on stderr says why. Nothing of the host's X
    errors or current GL context is touched. */
RlWindow *rl_window_open(unsigned long parent, const char *title, RlSizes sizes,
                         const RlWindowCallbacks *face);

/** The X11 window, for the host. */
unsigned long rl_window_id(const RlWindow *window);

/** Takes in events, asks the face what changed, draws that and no more. False once the window was
    closed by the person or is gone. */
bool rl_window_idle(RlWindow *window);

/** The host wants another size, in pixels. */
void rl_window_resize(RlWindow *window, int width, int height);

void rl_window_close(RlWindow *window);

#endif
