/* SPDX-License-Identifier: ISC */
#include "ui/window/x_input.h"

#include <X11/Xutil.h>
#include <X11/keysym.h>

/* By RlKeyName, from RL_KEY_ENTER on; on the main block and the key pad. */
static const KeySym keys[][3] = {{XK_Return, XK_KP_Enter, XK_Linefeed},
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

_Static_assert(sizeof(keys) / sizeof(keys[0]) == RL_KEY_PAGE_DOWN - RL_KEY_ENTER + 1,
               "an X key for each RlKeyName");

int
rl_x_key(XKeyEvent *const event)
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

RlInput
rl_x_input(const RlInputKind kind, const int x, const int y, const unsigned state)
{
  return (RlInput){.kind    = kind,
                   .x       = x,
                   .y       = y,
                   .shift   = (state & ShiftMask) != 0,
                   .control = (state & ControlMask) != 0,
                   .alt     = (state & Mod1Mask) != 0};
}

bool
rl_x_button(const XButtonEvent *const event, RlInput *const input)
{
  const bool press = event->type == ButtonPress;
  const bool wheel = event->button == Button4 || event->button == Button5;
  *input = rl_x_input(press ? RL_INPUT_PRESS : RL_INPUT_RELEASE, event->x, event->y, event->state);
  if (press && wheel) {
    input->kind   = RL_INPUT_SCROLL;
    input->scroll = event->button == Button4 ? 1 : -1;
    return true;
  }
  return event->button == Button1;
}
