/* SPDX-License-Identifier: ISC */
/* The X input focus while something is typed. Hosts keep keys for themselves (space rolls the
   transport) that the window of a text field needs; so that window borrows the focus and gives it
   back. It never fights: what a person or the window manager does with the focus meanwhile stays.
   The window's thread, under rl_x_guard_up(): errors mean that a window has gone or is hidden. */
#ifndef RL_UI_WINDOW_X_FOCUS_H
#define RL_UI_WINDOW_X_FOCUS_H

#include <X11/Xlib.h>
#include <stdbool.h>

typedef struct {
  Display *display;
  Window   own;
  Atom     lender; /* a property of a window that has borrowed the focus: from which one */
  bool     borrowed;
} RlXFocus;

/** For that window. */
RlXFocus rl_x_focus(Display *display, Window own);

/** Something is typed into the window from now on, or a button went down in it while something is:
    takes the focus unless the window has it. */
void rl_x_focus_take(RlXFocus *focus);

/** Nothing is typed any more: gives the focus back if it was taken and the window still has it. */
void rl_x_focus_return(RlXFocus *focus);

#endif
