/* SPDX-License-Identifier: ISC */
/* What a person does to the window, as the toolkit-free side hears it. Whoever takes Control-V (the
   key 'v' or 'V' with `control`) gets what lies on the clipboard, soon after, as keys. The pointer
   leaving the window is a move to -1, -1. */
#ifndef RL_UI_MODEL_INPUT_H
#define RL_UI_MODEL_INPUT_H

#include <stdbool.h>

typedef enum {
  RL_INPUT_PRESS,   /**< the left button goes down */
  RL_INPUT_RELEASE, /**< and up */
  RL_INPUT_MOVE,
  RL_INPUT_SCROLL,
  RL_INPUT_KEY
} RlInputKind;

/** Keys that are no characters; from beyond Unicode. */
typedef enum {
  RL_KEY_ENTER = 0x110000,
  RL_KEY_ESCAPE,
  RL_KEY_TAB,
  RL_KEY_BACKSPACE,
  RL_KEY_DELETE,
  RL_KEY_LEFT,
  RL_KEY_RIGHT,
  RL_KEY_UP,
  RL_KEY_DOWN,
  RL_KEY_HOME,
  RL_KEY_END,
  RL_KEY_PAGE_UP,
  RL_KEY_PAGE_DOWN
} RlKeyName;

typedef struct {
  RlInputKind kind;
  double      x, y;   /**< pixels from the window's upper left corner */
  double      scroll; /**< steps, up is positive */
  int         key;    /**< a Unicode character, or an RlKeyName */
  bool        shift, control, alt;
} RlInput;

#endif
