/* SPDX-License-Identifier: ISC */
/* Mouse and keyboard input, without a toolkit. Whoever uses Control-V (the key 'v' or 'V' with
   `control`) gets the text of the clipboard as keys soon after. When the pointer leaves the window
   that is a move to -1, -1. */
#ifndef RL_UI_MODEL_INPUT_H
#define RL_UI_MODEL_INPUT_H

#include <stdbool.h>

typedef enum {
  RL_INPUT_PRESS,   /**< of the left button */
  RL_INPUT_RELEASE, /**< of the left button */
  RL_INPUT_MOVE,
  RL_INPUT_SCROLL,
  RL_INPUT_KEY
} RlInputKind;

/** Keys that are no characters. Their numbers follow the last Unicode character. */
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
  double      scroll; /**< steps of the wheel, up is positive */
  int         key;    /**< a Unicode character, or an RlKeyName */
  bool        shift, control, alt;
} RlInput;

#endif
