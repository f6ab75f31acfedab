/* SPDX-License-Identifier: ISC */
/* What is typed: begun, kept or given up. */
#include "ui/controller/controller_state.h"
#include "ui/model/fields.h"

#include "core/chart/edit.h"

#include <stdlib.h>
#include <string.h>

void
rl_controller_error(RlController *const b, const char *const words)
{
  RlText text = rl_text_in(b->edit_error, sizeof(b->edit_error));
  rl_text_add(&text, words);
}

void
rl_controller_edit_end(RlController *const b)
{
  RlView *const v    = &b->view;
  const bool    plan = v->screen == RL_SCREEN_TEXT && v->edit.kind == RL_EDIT_PLAN;
  v->screen = v->screen != RL_SCREEN_TEXT ? v->screen : plan ? RL_SCREEN_PHRASES : RL_SCREEN_PLAY;
  v->edit.kind      = RL_EDIT_NOTHING;
  v->edit.list      = RL_NO_FIELD;
  v->edit.error_bar = -1;
  v->focus          = -1;
  v->scroll         = 0;
  rl_controller_error(b, "");
  if (plan) { /* chart, harp or takes may be others by now */
    rl_controller_pick(b);
  }
}

static void
editing_begin(RlController *const b, const RlEdit edit, const RlSlice text)
{
  rl_controller_edit_end(b);
  rl_text_input_begin(&b->typing, text, edit == RL_EDIT_TEXT || edit == RL_EDIT_PLAN);
  b->view.edit.kind = edit;
}

void
rl_controller_bar_open(RlController *const b, const int index)
{
  const RlForm *const f = b->view.form;
  if (f && index >= 0 && index < f->bars + f->ending_bars) {
    RlText text = rl_text_in(b->text, sizeof(b->text));
    rl_chart_edit_text(f, f->bar[index].written, &text);
    editing_begin(b, RL_EDIT_BAR, rl_slice(b->text));
    b->view.edit.bar = index;
  }
}

void
rl_controller_text_open(RlController *const b)
{
  const RlForm *const f = b->view.form;
  editing_begin(b, RL_EDIT_TEXT, f ? (RlSlice){f->text, f->text_length} : rl_slice(""));
  b->view.screen = RL_SCREEN_TEXT;
  rl_text_input_put(&b->typing, 0, 0);
}

/* Sends a chart that reads; says what is wrong with one that does not. */
static bool
chart_send(RlController *const b, const char *const text)
{
  RlChartError error;
  if (rl_chart_read(rl_slice(text), &b->trial, &error)) {
    b->plugin.set_text(b->plugin.data, RL_CHART, text);
    return true;
  }
  RlText words = rl_text_in(b->edit_error, sizeof(b->edit_error));
  if (b->view.edit.kind == RL_EDIT_TEXT) {
    rl_chart_error_write(&error, &words);
    rl_text_input_put(&b->typing, (size_t)(error.line > 0 ? error.line - 1 : 0), 0);
  } else {
    rl_text_add(&words, error.reason);
    b->view.edit.error_bar = error.bar - 1;
  }
  return false;
}

void
rl_controller_plan_open(RlController *const b)
{
  editing_begin(b, RL_EDIT_PLAN, (RlSlice){b->plan.text, b->plan.text_length});
  b->view.screen = RL_SCREEN_TEXT;
  rl_text_input_put(&b->typing, 0, 0);
}

void
rl_controller_find_open(RlController *const b)
{
  editing_begin(b, RL_EDIT_FIND, rl_slice(b->wanted));
}

/* Sends a plan that reads; says what is wrong with one that does not. */
static bool
plan_keep(RlController *const b, const char *const text)
{
  RlPlanError error;
  if (rl_plan_read(rl_slice(text), &b->lane_room.phrase, &b->plan_trial, &error)) {
    b->plugin.set_text(b->plugin.data, RL_PLAN, text);
    return true;
  }
  RlText words = rl_text_in(b->edit_error, sizeof(b->edit_error));
  rl_plan_error_write(&error, &words);
  rl_text_input_put(&b->typing, (size_t)(error.line > 0 ? error.line - 1 : 0), 0);
  return false;
}

/* The chart with the bar changed, one more behind it, or without it. */
static bool
bar_keep(RlController *const b, const RlActionKind kind)
{
  const RlForm *const f       = b->view.form;
  const int           written = f->bar[b->view.edit.bar].written;
  const RlSlice       words   = {b->typing.text, b->typing.length};
  RlText              out     = rl_text_in(b->text, sizeof(b->text));
  const char *const   why =
    kind == RL_ACTION_BAR_INSERT   ? rl_chart_edit_insert(f, written, words, &out)
      : kind == RL_ACTION_BAR_DELETE ? rl_chart_edit_delete(f, written, &out)
                                     : rl_chart_edit_bar(f, written, words, &out);
  if (why) {
    rl_controller_error(b, why);
    return false;
  }
  return chart_send(b, b->text);
}

static bool
start_bar_keep(RlController *const b)
{
  const RlPortInfo *const port = &rl_ports[RL_PORT_START_BAR];
  char                   *end;
  const long              bar = strtol(b->typing.text, &end, 10);
  if (end == b->typing.text || *end || (float)bar < port->low || (float)bar > port->high) {
    rl_controller_error(b, "write a bar of the DAW, -999 to 9999");
    return false;
  }
  rl_controller_set(b, RL_PORT_START_BAR, (float)bar);
  return true;
}

bool
rl_controller_keep(RlController *const b, const RlActionKind kind)
{
  switch (b->view.edit.kind) {
  case RL_EDIT_BAR:
    return bar_keep(b, kind);
  case RL_EDIT_TEXT:
    return chart_send(b, b->typing.text);
  case RL_EDIT_PLAN:
    return plan_keep(b, b->typing.text);
  case RL_EDIT_FIND:
    rl_controller_find_first(b);
    return true;
  case RL_EDIT_FIELD:
    if (b->view.edit.list == RL_FIELD_START_BAR) {
      return start_bar_keep(b);
    }
    b->plugin.set_text(b->plugin.data, RL_OSC_TO, b->typing.text);
    return true;
  default:
    return true;
  }
}

void
rl_controller_list_open(RlController *const b, const int field)
{
  char          words[RL_ADDRESS_SIZE];
  RlText        text = rl_text_in(words, sizeof(words));
  RlView *const v    = &b->view;
  if (rl_field_typed((RlField)field)) {
    const RlScreen page = v->screen;
    rl_field_typing(v, (RlField)field, &text);
    editing_begin(b, RL_EDIT_FIELD, rl_slice(words));
    v->screen = page;
  }
  v->edit.list = field;
  v->focus     = -1;
}
