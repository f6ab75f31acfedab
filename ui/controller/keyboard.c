/* SPDX-License-Identifier: ISC */
#include "ui/controller/keyboard.h"

#include "ui/controller/actions.h"
#include "ui/controller/bar_choice.h"
#include "ui/controller/controller_state.h"

/* An arrow enters the list of charts at its head, whatever stands before it. */
static bool
list_enter(RlController *const c)
{
  const RlLayout *const l = &c->redraw.layout;
  int                   i = l->live;
  while (i < l->spots && l->spot[i].action.kind != RL_ACTION_CHART_SELECT) {
    ++i;
  }
  c->view.focus = i < l->spots ? i : c->view.focus;
  return i < l->spots;
}

static void
focus_move(RlController *const c, const int key)
{
  const RlLayout *const l  = &c->redraw.layout;
  const int             dx = key == RL_KEY_RIGHT ? 1 : key == RL_KEY_LEFT ? -1 : 0;
  const int             dy = key == RL_KEY_DOWN ? 1 : key == RL_KEY_UP ? -1 : 0;
  RlView *const         v  = &c->view;
  const int             n  = l->spots - l->live;
  if (key != RL_KEY_TAB && v->focus < l->live && list_enter(c)) {
    return;
  }
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
focus_key(RlController *const c, const RlInput *const input, const double now)
{
  const RlLayout *const l    = &c->redraw.layout;
  const int             spot = c->view.focus;
  const bool            held = spot >= l->live && spot < l->spots;
  if (rl_scrolling_key(c, input->key, now)) {
    return true;
  }
  switch (input->key) {
  case RL_KEY_TAB:
  case RL_KEY_LEFT:
  case RL_KEY_RIGHT:
  case RL_KEY_UP:
  case RL_KEY_DOWN:
    focus_move(c, input->key);
    return true;
  case RL_KEY_ENTER:
    if (held) {
      rl_action_run(c, l->spot[spot].action, now);
    }
    return held;
  case '+':
  case '-':
    if (held && l->spot[spot].action.kind == RL_ACTION_FIELD_OPEN) {
      rl_settings_step(c, (RlField)l->spot[spot].action.value, input->key == '+' ? 1 : -1);
      return true;
    }
    return false;
  default:
    return false;
  }
}

/* Searches what the screen lists. */
static void
search_set(RlController *const c, const char *const words)
{
  if (c->view.screen == RL_SCREEN_CHARTS) {
    rl_charts_search(c, words);
  } else {
    rl_search_set(c, words);
  }
}

/* Control-Z, Control-Shift-Z: undo and redo. They are taken even where there is nothing to undo:
   the host would undo something of its own. */
static bool
is_undo(const RlInput *const input)
{
  return input->control && !input->alt && (input->key == 'z' || input->key == 'Z');
}

/* A key of the text that is typed; false: it is none. */
static bool
text_key(RlController *const c, const RlInput *const input)
{
  if (is_undo(input)) {
    rl_editing_take_back(c, input->shift);
    return true;
  }
  if (c->editing.taken_back && !input->control) { /* typed anew from there */
    c->editing.before     = c->editing.input;
    c->editing.taken_back = false;
  }
  return rl_text_input_key(&c->editing.input, input);
}

/* While something is typed: the keys of a text first, Enter and Escape as everywhere. */
static bool
typing_key(RlController *const c, const RlInput *const input, const double now)
{
  RlView *const v       = &c->view;
  const bool    buttons = v->focus >= c->redraw.layout.live;
  const bool    moves   = input->key == RL_KEY_TAB ||
                     (buttons && (input->key == RL_KEY_LEFT || input->key == RL_KEY_RIGHT ||
                                  input->key == RL_KEY_ENTER));
  if (moves) {
    return focus_key(c, input, now);
  }
  if (input->key == RL_KEY_ESCAPE) {
    if (v->edit.kind == RL_EDIT_FIND) {
      search_set(c, "");
    }
    if (v->edit.kind == RL_EDIT_NAME) {
      rl_chart_files_answer(c, RL_CHARTS_CANCEL);
    }
    rl_editing_escape(c);
  } else if (input->key == RL_KEY_ENTER && !rl_editing_is_text(v)) {
    rl_action_run(c, (RlAction){RL_ACTION_EDIT_KEEP, 0}, now);
  } else if (text_key(c, input)) {
    v->focus = -1;
    rl_editing_error(c, "");
    if (v->edit.kind == RL_EDIT_FIND) {
      search_set(c, c->editing.input.text);
    }
  } else if (v->edit.list != RL_NO_FIELD) {
    return focus_key(c, input, now);
  }
  return true;
}

static bool
searches(const RlController *const c)
{
  return (c->view.screen == RL_SCREEN_PHRASES && c->search.query[0]) ||
         (c->view.screen == RL_SCREEN_CHARTS && c->charts.query[0]);
}

/* Among the phrases the key for editing the chart edits notes; while they are corrected some keys
   are theirs. */
static bool
note_key(RlController *const c, const RlInput *const input, const double now)
{
  const bool plain = !input->control && !input->alt && c->view.edit.list == RL_NO_FIELD;
  if (c->view.screen == RL_SCREEN_PHRASES && plain &&
      rl_action_of_key(input->key) == RL_ACTION_CHART_TEXT) {
    rl_action_run(c, (RlAction){RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT}, now);
    return true;
  }
  const bool     open   = rl_view_corrects(&c->view) && c->view.edit.list == RL_NO_FIELD;
  const RlAction action = rl_action_of_note_key(input);
  if (open && action.kind != RL_ACTION_NONE) {
    rl_action_run(c, action, now);
  }
  return open && action.kind != RL_ACTION_NONE;
}

bool
rl_keyboard_key(RlController *const c, const RlInput *const input, const double now)
{
  RlView *const v = &c->view;
  c->redraw.all   = true;
  if (v->edit.kind != RL_EDIT_NOTHING) {
    const bool taken = typing_key(c, input, now);
    if (rl_editing_is_text(v)) {
      rl_scrolling_follow_caret(c);
    }
    return taken;
  }
  if (is_undo(input)) {
    rl_action_run(c, (RlAction){input->shift ? RL_ACTION_REDO : RL_ACTION_UNDO, 0}, now);
    return true;
  }
  if (rl_bar_choice_key(c, input, now)) {
    return true;
  }
  if (input->key == RL_KEY_ESCAPE && v->charts.ask != RL_CHARTS_ASK_NOTHING) {
    rl_chart_files_answer(c, RL_CHARTS_CANCEL);
    return true;
  }
  if (input->key == RL_KEY_ESCAPE && searches(c)) {
    search_set(c, "");
    return true;
  }
  if (input->key == RL_KEY_ESCAPE) {
    const bool away = v->edit.list != RL_NO_FIELD || v->screen != RL_SCREEN_PLAY || v->focus >= 0;
    const RlScreen screen = v->edit.list != RL_NO_FIELD ? v->screen : RL_SCREEN_PLAY;
    rl_editing_end(c);
    v->screen = screen;
    return away;
  }
  if (note_key(c, input, now) || focus_key(c, input, now)) {
    return true;
  }
  const RlActionKind shortcut = rl_action_of_key(input->key);
  if (shortcut != RL_ACTION_NONE && !input->control && !input->alt && v->edit.list == RL_NO_FIELD &&
      v->charts.ask == RL_CHARTS_ASK_NOTHING) {
    rl_action_run(c, (RlAction){shortcut, 0}, now);
    return true;
  }
  return false;
}
