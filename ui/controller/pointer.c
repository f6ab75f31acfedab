/* SPDX-License-Identifier: ISC */
#include "ui/controller/pointer.h"

#include "ui/controller/actions.h"
#include "ui/controller/bar_choice.h"
#include "ui/controller/controller_state.h"

#include <math.h>

static const RlAction none = {RL_ACTION_NONE, 0};

/* Of the size of letters, in which text is typed. */
static const double character = 0.62;

/* Which character of a text a place at `x` from the text's beginning means: half a character left
   of one counts too. */
static size_t
character_at(const double x, const double size)
{
  const double in = x / (size * character) + 0.5;
  return in > 0 ? (size_t)in : 0;
}

/* In a field of one line, scrolled as it is drawn. */
static void
caret_put_field(RlController *const c, const double x, const RlRect at)
{
  const RlLayout *const    l     = &c->redraw.layout;
  const RlTextInput *const input = &c->editing.input;
  const double             size  = rl_layout_typing_size(l, c->view.edit.kind, at);
  const RlRect             box   = rl_layout_typing(at);
  const double             caret = (double)input->caret * size * character;
  const double             shift = input->all ? 0 : fmax(0, caret - box.w + size);
  rl_text_input_put(&c->editing.input, 0, character_at(x - box.x + shift, size));
}

static void
caret_put(RlController *const c, const RlInput *const input, const RlRect at)
{
  const RlLayout *const l = &c->redraw.layout;
  if (rl_editing_is_text(&c->view)) {
    const double size = l->line_pitch * 0.68;
    const double y    = input->y / l->unit - at.y - l->line_pitch / 3;
    const double x    = input->x / l->unit - at.x - l->line_pitch / 3 - size * 2.6;
    const double line = floor(y / l->line_pitch) + c->view.scroll;
    rl_text_input_put(&c->editing.input, line > 0 ? (size_t)line : 0, character_at(x, size));
  } else {
    caret_put_field(c, input->x / l->unit, at);
  }
}

/* A tap marks a moment: it counts when the button goes down, not when it goes up. */
static bool
acts_at_once(const RlActionKind kind)
{
  return kind == RL_ACTION_TAP || kind == RL_ACTION_BAR_ONE || kind == RL_ACTION_CAPTURE ||
         kind == RL_ACTION_KEEP_LAST || kind == RL_ACTION_CARET;
}

void
rl_pointer_press(RlController *const c, const RlInput *const input, const double now)
{
  const int spot  = rl_layout_hit(&c->redraw.layout, input->x, input->y);
  c->view.focus   = -1;
  c->view.pressed = spot < 0 ? none : c->redraw.layout.spot[spot].action;
  if (c->view.pressed.kind != RL_ACTION_BARS_LIFT) {
    rl_bar_choice_end(c);
  }
  if (c->view.pressed.kind == RL_ACTION_CARET) {
    caret_put(c, input, c->redraw.layout.spot[spot].at);
  } else if (acts_at_once(c->view.pressed.kind)) {
    rl_action_run(c, c->view.pressed, now);
  }
  c->redraw.all = true;
}

void
rl_pointer_release(RlController *const c, const RlInput *const input, const double now)
{
  const int      spot = rl_layout_hit(&c->redraw.layout, input->x, input->y);
  const RlAction on   = spot < 0 ? none : c->redraw.layout.spot[spot].action;
  const RlAction down = c->view.pressed;
  c->view.pressed     = none;
  c->redraw.all       = true;
  if (down.kind == RL_ACTION_BAR_EDIT && c->view.bars.chosen) {
    return; /* dragged over bars, which is more than a click */
  }
  if (on.kind == down.kind && on.value == down.value && !acts_at_once(on.kind)) {
    rl_action_run(c, on, now);
  }
}

void
rl_pointer_scroll(RlController *const c, const RlInput *const input, const double now)
{
  const int spot = rl_layout_hit(&c->redraw.layout, input->x, input->y);
  const int by   = input->scroll > 0 ? -1 : 1;
  if (spot >= 0 && c->redraw.layout.spot[spot].action.kind == RL_ACTION_FIELD_OPEN &&
      c->view.edit.list == RL_NO_FIELD) {
    rl_settings_step(c, (RlField)c->redraw.layout.spot[spot].action.value, -by);
  } else {
    rl_scrolling_by(c, by, now);
  }
  c->redraw.all = true;
}
