/* SPDX-License-Identifier: ISC */
#include "ui/controller/actions.h"

#include "ui/controller/auditioning.h"
#include "ui/controller/bar_choice.h"
#include "ui/controller/controller_state.h"
#include "ui/controller/naming.h"
#include "ui/controller/phrase_edits.h"
#include "ui/controller/phrase_ways.h"
#include "ui/controller/takes.h"

#include <assert.h>

/* Shows a screen, or goes back to the music from it. */
static void
screen_toggle(RlController *const c, const RlScreen screen)
{
  RlView *const v    = &c->view;
  const bool    back = v->screen == screen;
  rl_editing_end(c);
  v->screen = back ? RL_SCREEN_PLAY : screen;
  v->follow = true;
  if (v->screen == RL_SCREEN_HARPS) {
    rl_harps_show(c);
  } else if (v->screen == RL_SCREEN_PHRASES) {
    rl_picker_open(c);
  } else if (v->screen == RL_SCREEN_CHARTS) {
    rl_charts_open(c);
  } else if (v->screen == RL_SCREEN_TRAINER) {
    rl_training_open(c);
  }
}

/* Ends typing a query but leaves the list where it is, whatever is done with the phrases found. */
static void
search_leave(RlController *const c)
{
  const int scroll = c->view.scroll;
  if (c->view.edit.kind == RL_EDIT_FIND) {
    rl_editing_end(c);
    c->view.scroll = scroll;
  }
}

/* ---- the functions of the table that are not another file's ---- */

static void
edit_keep(RlController *const c, const RlAction action)
{
  if (rl_editing_keep(c, action.kind) && c->view.edit.kind != RL_EDIT_NOTHING) {
    rl_editing_end(c);
  }
}

static void
screen_show(RlController *const c, const RlAction action)
{
  static const RlScreen screens[RL_ACTIONS] = {
    [RL_ACTION_STAGE] = RL_SCREEN_STAGE,     [RL_ACTION_SETTINGS] = RL_SCREEN_SETTINGS,
    [RL_ACTION_HARPS] = RL_SCREEN_HARPS,     [RL_ACTION_PHRASES] = RL_SCREEN_PHRASES,
    [RL_ACTION_LANE] = RL_SCREEN_PHRASES,    [RL_ACTION_CHARTS] = RL_SCREEN_CHARTS,
    [RL_ACTION_TRAINER] = RL_SCREEN_TRAINER, [RL_ACTION_PRACTICE] = RL_SCREEN_PRACTICE,
    [RL_ACTION_CHORUS] = RL_SCREEN_PRACTICE,
  };
  screen_toggle(c, screens[action.kind]);
}

static void
search_open(RlController *const c)
{
  if (c->view.screen == RL_SCREEN_PHRASES || c->view.screen == RL_SCREEN_CHARTS) {
    rl_editing_open_search(c);
  }
}

static void
path_open(RlController *const c)
{
  rl_editing_open_words(c, RL_EDIT_PATH, c->charts.folder);
}

static void
note_names_toggle(RlController *const c)
{
  c->view.note_names = !c->view.note_names;
}

static void
bar_one(RlController *const c, const double now)
{
  rl_settings_trigger(c, RL_PORT_BAR_ONE, now);
}

static void
stop(RlController *const c, const double now)
{
  rl_settings_trigger(c, RL_PORT_STOP, now);
}

static void
half_time(RlController *const c, const double now)
{
  rl_settings_trigger(c, RL_PORT_HALF_TIME, now);
}

static void
double_time(RlController *const c, const double now)
{
  rl_settings_trigger(c, RL_PORT_DOUBLE_TIME, now);
}

static void
capture(RlController *const c, const double now)
{
  rl_settings_trigger(c, RL_PORT_CAPTURE, now);
}

static void
keep_last(RlController *const c, const double now)
{
  rl_settings_trigger(c, RL_PORT_KEEP_LAST, now);
}

/* What each action does: one function of four kinds, by what it needs to know; and the letter that
   does it too (0: none). Most letters are the first of the button's name. The caret is put where
   the button went down: pointer.c does that. */
static const struct {
  void (*run)(RlController *c);
  void (*run_value)(RlController *c, int value);
  void (*run_action)(RlController *c, RlAction action);
  void (*run_at)(RlController *c, double now);
  char key;
} actions[RL_ACTIONS] = {
  [RL_ACTION_BAR_EDIT]      = {.run_value = rl_editing_open_bar},
  [RL_ACTION_CHART_TEXT]    = {.run = rl_editing_open_chart, .key = 'e'},
  [RL_ACTION_EDIT_KEEP]     = {.run_action = edit_keep},
  [RL_ACTION_EDIT_CANCEL]   = {.run = rl_editing_end},
  [RL_ACTION_BAR_INSERT]    = {.run_action = edit_keep},
  [RL_ACTION_BAR_DELETE]    = {.run_action = edit_keep},
  [RL_ACTION_LIST_CLOSE]    = {.run = rl_editing_end},
  [RL_ACTION_STAGE]         = {.run_action = screen_show, .key = 's'},
  [RL_ACTION_SETTINGS]      = {.run_action = screen_show, .key = 'g'},
  [RL_ACTION_HARPS]         = {.run_action = screen_show, .key = 'h'},
  [RL_ACTION_NOTE_NAMES]    = {.run = note_names_toggle, .key = 'n'},
  [RL_ACTION_BAR_ONE]       = {.run_at = bar_one, .key = 'b'},
  [RL_ACTION_TAP]           = {.run_at = rl_settings_tap, .key = 't'},
  [RL_ACTION_STOP]          = {.run_at = stop, .key = 'o'},
  [RL_ACTION_FIELD_OPEN]    = {.run_value = rl_editing_open_list},
  [RL_ACTION_FIELD_CHOOSE]  = {.run_value = rl_settings_choose},
  [RL_ACTION_HARP_OWN]      = {.run_value = rl_harps_toggle_owned},
  [RL_ACTION_HARP_USE]      = {.run_value = rl_harps_use},
  [RL_ACTION_PHRASES]       = {.run_action = screen_show, .key = 'p'},
  [RL_ACTION_LANE]          = {.run_action = screen_show},
  [RL_ACTION_FIND]          = {.run = search_open, .key = 'f'},
  [RL_ACTION_PHRASE_SELECT] = {.run_action = rl_picker_change},
  [RL_ACTION_PHRASE_BAR]    = {.run_action = rl_picker_change},
  [RL_ACTION_PHRASE_MOVE]   = {.run_action = rl_picker_change},
  [RL_ACTION_PHRASE_PUT]    = {.run = rl_picker_put},
  [RL_ACTION_BAR_CLEAR]     = {.run = rl_picker_clear_bar},
  [RL_ACTION_PLAN_TEXT]     = {.run = rl_editing_open_plan},
  [RL_ACTION_CAPTURE]       = {.run_at = capture, .key = 'c'},
  [RL_ACTION_BARS_LIFT]     = {.run = rl_bar_choice_lift},
  [RL_ACTION_PRACTICE]      = {.run_action = screen_show, .key = 'r'},
  [RL_ACTION_CHORUS]        = {.run_action = screen_show},
  [RL_ACTION_KEEP_LAST]     = {.run_at = keep_last, .key = 'k'},
  [RL_ACTION_NOTE_SELECT]   = {.run_action = rl_phrase_edits_note},
  [RL_ACTION_NOTE_PICK]     = {.run_action = rl_phrase_edits_note},
  [RL_ACTION_NOTE_UNSURE]   = {.run_action = rl_phrase_edits_note},
  [RL_ACTION_NOTE_EDIT]     = {.run_action = rl_phrase_edits_note},
  [RL_ACTION_TAKE_KEEP]     = {.run_action = rl_takes_change},
  [RL_ACTION_TAKE_DISCARD]  = {.run_action = rl_takes_change},
  [RL_ACTION_HALF_TIME]     = {.run_at = half_time},
  [RL_ACTION_DOUBLE_TIME]   = {.run_at = double_time},
  [RL_ACTION_UNDO]          = {.run = rl_undo_back},
  [RL_ACTION_REDO]          = {.run = rl_undo_again},
  [RL_ACTION_SHEET]         = {.run = rl_lesson_sheet_make, .key = 'l'},
  [RL_ACTION_CHARTS]        = {.run_action = screen_show, .key = 'a'},
  [RL_ACTION_CHARTS_PLACE]  = {.run_value = rl_charts_go},
  [RL_ACTION_CHARTS_PATH]   = {.run = path_open},
  [RL_ACTION_CHART_SELECT]  = {.run_value = rl_charts_select},
  [RL_ACTION_CHART_OPEN]    = {.run = rl_chart_files_open},
  [RL_ACTION_CHART_SAVE]    = {.run = rl_chart_saving_begin},
  [RL_ACTION_CHART_SAVE_AS] = {.run = rl_chart_saving_open_name},
  [RL_ACTION_CHART_NEW]     = {.run = rl_chart_files_ask_key},
  [RL_ACTION_CHART_KEY]     = {.run_value = rl_chart_files_new},
  [RL_ACTION_CHARTS_ANSWER] = {.run_value = rl_chart_files_answer},
  [RL_ACTION_TRAINER]       = {.run_action = screen_show, .key = 'd'},
  [RL_ACTION_AIM]           = {.run_value = rl_training_aim},
  [RL_ACTION_AIM_MISSED]    = {.run = rl_training_missed, .key = 'm'},
  [RL_ACTION_AIM_TEMPER]    = {.run = rl_training_temper},
  [RL_ACTION_PHRASE_PANEL]  = {.run_value = rl_picker_panel},
  [RL_ACTION_PHRASE_TITLE]  = {.run_action = rl_phrase_edits_type},
  [RL_ACTION_PHRASE_REMARK] = {.run_action = rl_phrase_edits_type},
  [RL_ACTION_PHRASE_FEEL]   = {.run_action = rl_phrase_edits_type},
  [RL_ACTION_PHRASE_OVER]   = {.run_action = rl_phrase_edits_do},
  [RL_ACTION_PHRASE_HARD]   = {.run_action = rl_phrase_edits_do},
  [RL_ACTION_PHRASE_COPY]   = {.run_action = rl_phrase_edits_do},
  [RL_ACTION_PHRASE_DELETE] = {.run_action = rl_phrase_edits_do},
  [RL_ACTION_WAY_TAKE]      = {.run_value = rl_phrase_ways_take},
  [RL_ACTION_HEAR]          = {.run_action = rl_auditioning_do, .key = 'w'},
  [RL_ACTION_HEAR_RECORD]   = {.run_action = rl_auditioning_do, .key = 'z'},
  [RL_ACTION_HEAR_BOTH]     = {.run_action = rl_auditioning_do},
  [RL_ACTION_HEAR_SPEED]    = {.run = rl_auditioning_speed},
  [RL_ACTION_HEAR_STOP]     = {.run_action = rl_auditioning_do},
  [RL_ACTION_HEAR_WAY]      = {.run_value = rl_auditioning_way},
  [RL_ACTION_LIST_ORDER]    = {.run_action = rl_search_list},
  [RL_ACTION_LIST_OVER]     = {.run_action = rl_search_list},
  [RL_ACTION_LIST_LENGTH]   = {.run_action = rl_search_list},
  [RL_ACTION_LIST_HARD]     = {.run_action = rl_search_list},
};

static void
run(RlController *const c, const RlAction action, const double now)
{
  if (actions[action.kind].run) {
    actions[action.kind].run(c);
  } else if (actions[action.kind].run_value) {
    actions[action.kind].run_value(c, action.value);
  } else if (actions[action.kind].run_action) {
    actions[action.kind].run_action(c, action);
  } else if (actions[action.kind].run_at) {
    actions[action.kind].run_at(c, now);
  }
}

void
rl_action_run(RlController *const c, const RlAction action, const double now)
{
  assert(action.kind >= RL_ACTION_NONE && action.kind < RL_ACTIONS);
  if (action.kind != RL_ACTION_EDIT_KEEP) {
    search_leave(c);
  }
  if (action.kind != RL_ACTION_EDIT_KEEP && action.kind != RL_ACTION_EDIT_CANCEL) {
    rl_naming_leave(c);
  }
  run(c, action, now);
  c->redraw.all = true;
}

RlActionKind
rl_action_of_key(const int key)
{
  int kind = RL_ACTION_NONE;
  for (int i = 0; key > 0 && i < RL_ACTIONS; ++i) {
    kind = actions[i].key == key ? i : kind;
  }
  return (RlActionKind)kind;
}

/* ---- keys for notes ---- */

/* Which of Shift and Control is held. */
typedef enum { ALONE, SHIFT, CONTROL } Held;

static const struct {
  int      key;
  Held     held;
  RlAction action;
} note_keys[] = {
  {RL_KEY_LEFT, SHIFT, {RL_ACTION_NOTE_EDIT, RL_NOTE_EARLIER}},
  {RL_KEY_RIGHT, SHIFT, {RL_ACTION_NOTE_EDIT, RL_NOTE_LATER}},
  {RL_KEY_DOWN, SHIFT, {RL_ACTION_NOTE_EDIT, RL_NOTE_LOWER}},
  {RL_KEY_UP, SHIFT, {RL_ACTION_NOTE_EDIT, RL_NOTE_HIGHER}},
  {RL_KEY_DOWN, CONTROL, {RL_ACTION_NOTE_EDIT, RL_NOTE_SHORTER}},
  {RL_KEY_UP, CONTROL, {RL_ACTION_NOTE_EDIT, RL_NOTE_LONGER}},
  {RL_KEY_LEFT, CONTROL, {RL_ACTION_NOTE_SELECT, -1}},
  {RL_KEY_RIGHT, CONTROL, {RL_ACTION_NOTE_SELECT, 1}},
  {RL_KEY_DELETE, ALONE, {RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE}},
  {'x', ALONE, {RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE}},
  {'i', ALONE, {RL_ACTION_NOTE_EDIT, RL_NOTE_INSERT}},
  {'v', ALONE, {RL_ACTION_NOTE_EDIT, RL_NOTE_SPLIT}},
  {'j', ALONE, {RL_ACTION_NOTE_EDIT, RL_NOTE_JOIN}},
  {'u', ALONE, {RL_ACTION_NOTE_EDIT, RL_NOTE_SCOOP}},
  {'U', SHIFT, {RL_ACTION_NOTE_EDIT, RL_NOTE_FALL}},
  {'y', ALONE, {RL_ACTION_NOTE_EDIT, RL_NOTE_ACCEPT}},
  {'q', ALONE, {RL_ACTION_NOTE_UNSURE, 0}},
};

RlAction
rl_action_of_note_key(const RlInput *const input)
{
  const Held held   = input->control ? CONTROL : input->shift ? SHIFT : ALONE;
  RlAction   action = {RL_ACTION_NONE, 0};
  for (size_t i = 0; i < sizeof(note_keys) / sizeof(note_keys[0]); ++i) {
    if (note_keys[i].key == input->key && note_keys[i].held == held && !input->alt) {
      action = note_keys[i].action;
    }
  }
  return action;
}
