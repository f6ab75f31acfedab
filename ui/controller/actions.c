/* SPDX-License-Identifier: ISC */
/* What a person does with the board: one table of actions, one of keys. */
#include "ui/controller/controller_state.h"
#include "ui/controller/takes.h"
#include "ui/model/fields.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double hold_time = 0.08; /* seconds a trigger stays down, so that a block sees it */

/* Is the whole of a text being typed into? */
static bool
text_page(const RlView *const v)
{
  return v->edit.kind == RL_EDIT_TEXT || v->edit.kind == RL_EDIT_PLAN;
}

/* ---- lists ---- */

/* Moves a setting by one entry; a list goes round. */
static void
field_turn(RlController *const b, const RlField field, const int by)
{
  enum { ONE_DOWN = 1, ONE_UP = 2 };
  const int count  = rl_field_choices(field);
  const int chosen = rl_field_chosen(&b->view, field);
  const int n      = field == RL_FIELD_START_BAR ? (by < 0 ? ONE_DOWN : ONE_UP)
                     : chosen < 0                ? 0
                                                 : (chosen + by + count) % count;
  rl_controller_set(b, rl_field_port(field), rl_field_to(&b->view, field, n));
}

static void
choose(RlController *const b, const int n)
{
  const RlField field = (RlField)b->view.edit.list;
  rl_controller_set(b, rl_field_port(field), rl_field_to(&b->view, field, n));
  if (field == RL_FIELD_START_BAR) { /* by steps, so the list stays */
    rl_controller_list_open(b, RL_FIELD_START_BAR);
  } else {
    rl_controller_edit_end(b);
  }
}

/* ---- actions ---- */

static void
trigger(RlController *const b, const RlPort port, const double now)
{
  if (b->held != RL_PORTS) {
    rl_controller_set(b, b->held, 0);
  }
  b->held       = port;
  b->release_at = now + hold_time;
  rl_controller_set(b, port, 1);
}

/* Where nothing says where the music is, a tap says that the player will. */
static void
tap(RlController *const b, const double now)
{
  if (b->view.port[RL_PORT_CLOCK] <= 0 && !rl_view_placed(&b->view)) {
    rl_controller_set(b, RL_PORT_CLOCK, 1);
  }
  trigger(b, RL_PORT_TAP, now);
}

static void
page_turn(RlController *const b, const RlScreen page)
{
  RlView *const v    = &b->view;
  const bool    back = v->screen == page;
  rl_controller_edit_end(b);
  v->screen = back ? RL_SCREEN_PLAY : page;
  v->follow = true;
  if (v->screen == RL_SCREEN_HARPS) {
    rl_controller_rank(b);
  } else if (v->screen == RL_SCREEN_PHRASES) {
    rl_controller_phrases_open(b);
  }
}

static void
harp_own(RlController *const b, const int key)
{
  const RlHarpChoice mine = rl_view_harp(&b->view);
  b->owned.keys[mine.range + 1][mine.tuning] ^= (uint16_t)(1U << key);
  if (!rl_owned_harps_write(&b->owned, b->folder[0] ? b->folder : NULL) && b->folder[0]) {
    rl_controller_trouble(b, "written");
  }
  rl_controller_rank(b);
}

static void
harp_use(RlController *const b, const int n)
{
  if (n < b->view.harps.count) {
    const RlHarpChoice choice = b->finding[n].choice;
    rl_controller_set(b, RL_PORT_HARP_KEY, choice.key);
    rl_controller_set(b, RL_PORT_HARP_REGISTER, choice.range);
    rl_controller_set(b, RL_PORT_TUNING, (float)choice.tuning);
  }
}

/* Whatever is done among the phrases found, what is wanted stays. */
static void
find_leave(RlController *const b)
{
  const int scroll = b->view.scroll;
  if (b->view.edit.kind == RL_EDIT_FIND) {
    rl_controller_edit_end(b);
    b->view.scroll = scroll;
  }
}

static void
act(RlController *const b, const RlAction action, const double now)
{
  RlView *const v = &b->view;
  if (action.kind != RL_ACTION_EDIT_KEEP) {
    find_leave(b);
  }
  switch (action.kind) {
  case RL_ACTION_BAR_EDIT:
    rl_controller_bar_open(b, action.value);
    break;
  case RL_ACTION_CHART_TEXT:
    rl_controller_text_open(b);
    break;
  case RL_ACTION_EDIT_KEEP:
  case RL_ACTION_BAR_INSERT:
  case RL_ACTION_BAR_DELETE:
    if (rl_controller_keep(b, action.kind)) {
      rl_controller_edit_end(b);
    }
    break;
  case RL_ACTION_EDIT_CANCEL:
  case RL_ACTION_LIST_CLOSE:
    rl_controller_edit_end(b);
    break;
  case RL_ACTION_STAGE:
    page_turn(b, RL_SCREEN_STAGE);
    break;
  case RL_ACTION_SETTINGS:
    page_turn(b, RL_SCREEN_SETTINGS);
    break;
  case RL_ACTION_HARPS:
    page_turn(b, RL_SCREEN_HARPS);
    break;
  case RL_ACTION_PHRASES:
  case RL_ACTION_LANE:
    page_turn(b, RL_SCREEN_PHRASES);
    break;
  case RL_ACTION_FIND:
    if (v->screen == RL_SCREEN_PHRASES) {
      rl_controller_find_open(b);
    }
    break;
  case RL_ACTION_PHRASE_SELECT:
  case RL_ACTION_PHRASE_BAR:
  case RL_ACTION_PHRASE_MOVE:
    rl_controller_pick_turn(b, action);
    break;
  case RL_ACTION_PHRASE_PUT:
    rl_controller_put(b);
    break;
  case RL_ACTION_BAR_CLEAR:
    rl_controller_free_bar(b);
    break;
  case RL_ACTION_PLAN_TEXT:
    rl_controller_plan_open(b);
    break;
  case RL_ACTION_CAPTURE:
    trigger(b, RL_PORT_CAPTURE, now);
    break;
  case RL_ACTION_NOTE_SELECT:
  case RL_ACTION_NOTE_SHIFT:
  case RL_ACTION_NOTE_REMOVE:
  case RL_ACTION_TAKE_KEEP:
  case RL_ACTION_TAKE_DISCARD:
    rl_takes_act(b, action);
    break;
  case RL_ACTION_SHEET:
    rl_controller_lesson(b);
    break;
  case RL_ACTION_NOTE_NAMES:
    v->note_names = !v->note_names;
    break;
  case RL_ACTION_BAR_ONE:
    trigger(b, RL_PORT_BAR_ONE, now);
    break;
  case RL_ACTION_TAP:
    tap(b, now);
    break;
  case RL_ACTION_STOP:
    trigger(b, RL_PORT_STOP, now);
    break;
  case RL_ACTION_FIELD_OPEN:
    rl_controller_list_open(b, action.value);
    break;
  case RL_ACTION_FIELD_CHOOSE:
    choose(b, action.value);
    break;
  case RL_ACTION_HARP_OWN:
    harp_own(b, action.value);
    break;
  case RL_ACTION_HARP_USE:
    harp_use(b, action.value);
    break;
  default:
    break;
  }
  b->all = true;
}

/* ---- mouse ---- */

static void
caret_put(RlController *const b, const RlInput *const input, const RlRect at)
{
  const RlLayout *const l = &b->layout;
  if (text_page(&b->view)) { /* half a figure's width left of it counts too */
    const double size = l->line_pitch * 0.68;
    const double y    = input->y / l->unit - at.y - l->line_pitch / 3;
    const double x    = input->x / l->unit - at.x - l->line_pitch / 3 - size * 2.6;
    const double line = floor(y / l->line_pitch) + b->view.scroll;
    const double in   = x / (size * 0.62) + 0.5;
    rl_text_input_put(&b->typing, line > 0 ? (size_t)line : 0, in > 0 ? (size_t)in : 0);
  }
}

/* Feet and hands are early: a tap counts when the button goes down. */
static bool
acts_at_once(const RlActionKind kind)
{
  return kind == RL_ACTION_TAP || kind == RL_ACTION_BAR_ONE || kind == RL_ACTION_CAPTURE ||
         kind == RL_ACTION_CARET;
}

static bool
press(RlController *const b, const RlInput *const input, const double now)
{
  const int spot  = rl_layout_hit(&b->layout, input->x, input->y);
  b->view.focus   = -1;
  b->view.pressed = spot < 0 ? (RlAction){RL_ACTION_NONE, 0} : b->layout.spot[spot].action;
  if (b->view.pressed.kind == RL_ACTION_CARET) {
    caret_put(b, input, b->layout.spot[spot].at);
  } else if (acts_at_once(b->view.pressed.kind)) {
    act(b, b->view.pressed, now);
  }
  b->all = true;
  return true;
}

static bool
release(RlController *const b, const RlInput *const input, const double now)
{
  const int      spot = rl_layout_hit(&b->layout, input->x, input->y);
  const RlAction on   = spot < 0 ? (RlAction){RL_ACTION_NONE, 0} : b->layout.spot[spot].action;
  const RlAction down = b->view.pressed;
  b->view.pressed     = (RlAction){RL_ACTION_NONE, 0};
  b->all              = true;
  if (on.kind == down.kind && on.value == down.value && !acts_at_once(on.kind)) {
    act(b, on, now);
  }
  return true;
}

static bool
scroll(RlController *const b, const RlInput *const input, const double now)
{
  const int spot = rl_layout_hit(&b->layout, input->x, input->y);
  const int by   = input->scroll > 0 ? -1 : 1;
  if (spot >= 0 && b->layout.spot[spot].action.kind == RL_ACTION_FIELD_OPEN &&
      b->view.edit.list == RL_NO_FIELD) {
    field_turn(b, (RlField)b->layout.spot[spot].action.value, -by);
  } else {
    rl_controller_scroll(b, by, now);
  }
  b->all = true;
  return true;
}

/* ---- keys ---- */

/* Letters that do what a button does; what the button is called begins with most of them. */
static const struct {
  char         key;
  RlActionKind kind;
} shortcuts[] = {{'s', RL_ACTION_STAGE},      {'e', RL_ACTION_CHART_TEXT}, {'h', RL_ACTION_HARPS},
                 {'n', RL_ACTION_NOTE_NAMES}, {'t', RL_ACTION_TAP},        {'b', RL_ACTION_BAR_ONE},
                 {'o', RL_ACTION_STOP},       {'g', RL_ACTION_SETTINGS},   {'p', RL_ACTION_PHRASES},
                 {'c', RL_ACTION_CAPTURE},    {'l', RL_ACTION_SHEET},      {'f', RL_ACTION_FIND}};

static void
focus_move(RlController *const b, const int key)
{
  const RlLayout *const l  = &b->layout;
  const int             dx = key == RL_KEY_RIGHT ? 1 : key == RL_KEY_LEFT ? -1 : 0;
  const int             dy = key == RL_KEY_DOWN ? 1 : key == RL_KEY_UP ? -1 : 0;
  RlView *const         v  = &b->view;
  const int             n  = l->spots - l->live;
  do {
    v->focus = n <= 0 ? -1
               : key == RL_KEY_TAB
                 ? (v->focus < l->live ? l->live : l->live + (v->focus - l->live + 1) % n)
                 : rl_layout_towards(l, v->focus, dx, dy);
  } while (key == RL_KEY_TAB && n > 1 &&
           (l->spot[v->focus].action.kind == RL_ACTION_LIST_CLOSE ||
            l->spot[v->focus].action.kind == RL_ACTION_CARET));
}

static bool
focus_key(RlController *const b, const RlInput *const input, const double now)
{
  const RlLayout *const l    = &b->layout;
  const int             spot = b->view.focus;
  const bool            held = spot >= l->live && spot < l->spots;
  if (rl_controller_scroll_key(b, input->key, now)) {
    return true;
  }
  switch (input->key) {
  case RL_KEY_TAB:
  case RL_KEY_LEFT:
  case RL_KEY_RIGHT:
  case RL_KEY_UP:
  case RL_KEY_DOWN:
    focus_move(b, input->key);
    return true;
  case RL_KEY_ENTER:
    if (held) {
      act(b, l->spot[spot].action, now);
    }
    return held;
  case '+':
  case '-':
    if (held && l->spot[spot].action.kind == RL_ACTION_FIELD_OPEN) {
      field_turn(b, (RlField)l->spot[spot].action.value, input->key == '+' ? 1 : -1);
      return true;
    }
    return false;
  default:
    return false;
  }
}

/* While something is typed: the keys of a text first, Enter and Escape as everywhere. */
static bool
typing_key(RlController *const b, const RlInput *const input, const double now)
{
  RlView *const v       = &b->view;
  const bool    buttons = v->focus >= b->layout.live;
  const bool    moves   = input->key == RL_KEY_TAB ||
                     (buttons && (input->key == RL_KEY_LEFT || input->key == RL_KEY_RIGHT ||
                                  input->key == RL_KEY_ENTER));
  if (moves) {
    return focus_key(b, input, now);
  }
  if (input->key == RL_KEY_ESCAPE) {
    if (v->edit.kind == RL_EDIT_FIND) {
      rl_controller_find(b, "");
    }
    rl_controller_edit_end(b);
  } else if (input->key == RL_KEY_ENTER && !text_page(v)) {
    act(b, (RlAction){RL_ACTION_EDIT_KEEP, 0}, now);
  } else if (rl_text_input_key(&b->typing, input)) {
    v->focus = -1;
    rl_controller_error(b, "");
    if (v->edit.kind == RL_EDIT_FIND) {
      rl_controller_find(b, b->typing.text);
    }
  } else if (v->edit.list != RL_NO_FIELD) {
    return focus_key(b, input, now);
  }
  return true;
}

/* Keeps the caret in sight. */
static void
text_follow(RlController *const b)
{
  size_t     column;
  const int  line  = (int)rl_text_input_line(&b->typing, &column);
  const int  shown = b->layout.lines_shown > 1 ? b->layout.lines_shown : 1;
  int *const top   = &b->view.scroll;
  *top             = line < *top ? line : line >= *top + shown ? line - shown + 1 : *top;
}

static bool
key(RlController *const b, const RlInput *const input, const double now)
{
  RlView *const v = &b->view;
  b->all          = true;
  if (v->edit.kind != RL_EDIT_NOTHING) {
    const bool taken = typing_key(b, input, now);
    if (text_page(v)) {
      text_follow(b);
    }
    return taken;
  }
  if (input->key == RL_KEY_ESCAPE && v->screen == RL_SCREEN_PHRASES && b->wanted[0]) {
    rl_controller_find(b, "");
    return true;
  }
  if (input->key == RL_KEY_ESCAPE) {
    const bool away = v->edit.list != RL_NO_FIELD || v->screen != RL_SCREEN_PLAY || v->focus >= 0;
    const RlScreen page = v->edit.list != RL_NO_FIELD ? v->screen : RL_SCREEN_PLAY;
    rl_controller_edit_end(b);
    v->screen = page;
    return away;
  }
  if (focus_key(b, input, now)) {
    return true;
  }
  for (size_t i = 0; i < sizeof(shortcuts) / sizeof(shortcuts[0]); ++i) {
    if (input->key == shortcuts[i].key && !input->control && !input->alt &&
        v->edit.list == RL_NO_FIELD) {
      act(b, (RlAction){shortcuts[i].kind, 0}, now);
      return true;
    }
  }
  return false;
}

/* A notice goes with the next click or key. True if that was meant for the notice alone. */
static bool
notice_leave(RlController *const b, const RlInput *const input)
{
  const bool key   = input->kind == RL_INPUT_KEY;
  const bool press = input->kind == RL_INPUT_PRESS;
  if (!b->notice[0] || (!key && !press)) {
    return false;
  }
  b->notice[0] = '\0';
  b->all       = true;
  return key ? input->key == RL_KEY_ESCAPE || input->key == RL_KEY_ENTER
             : rl_rect_contains(b->layout.notice, input->x / b->layout.unit,
                                input->y / b->layout.unit);
}

bool
rl_controller_input(RlController *const b, const RlInput *const input, const double now)
{
  if (b->width == 0) {
    return false; /* nothing was shown yet */
  }
  if (notice_leave(b, input)) {
    return true;
  }
  switch (input->kind) {
  case RL_INPUT_PRESS:
    return press(b, input, now);
  case RL_INPUT_RELEASE:
    return release(b, input, now);
  case RL_INPUT_SCROLL:
    return scroll(b, input, now);
  case RL_INPUT_KEY:
    return key(b, input, now);
  default:
    return false;
  }
}
