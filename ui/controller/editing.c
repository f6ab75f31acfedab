/* SPDX-License-Identifier: ISC */
#include "ui/controller/editing.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/naming.h"
#include "ui/controller/phrase_edits.h"
#include "ui/model/fields.h"

#include "core/chart/edit.h"

#include <stdlib.h>
#include <string.h>

bool
rl_editing_is_text(const RlView *const v)
{
  return v->edit.kind == RL_EDIT_TEXT || v->edit.kind == RL_EDIT_PLAN;
}

void
rl_editing_error(RlController *const c, const char *const words)
{
  RlText text = rl_text_in(c->editing.error, sizeof(c->editing.error));
  rl_text_add(&text, words);
}

void
rl_editing_end(RlController *const c)
{
  RlView *const v    = &c->view;
  const bool    plan = v->screen == RL_SCREEN_TEXT && v->edit.kind == RL_EDIT_PLAN;
  v->screen = v->screen != RL_SCREEN_TEXT ? v->screen : plan ? RL_SCREEN_PHRASES : RL_SCREEN_PLAY;
  v->edit.kind      = RL_EDIT_NOTHING;
  v->edit.list      = RL_NO_FIELD;
  v->edit.error_bar = -1;
  v->focus          = -1;
  v->scroll         = 0;
  rl_editing_error(c, "");
  if (plan) { /* chart, harp or takes may have changed meanwhile */
    rl_picker_update(c);
  }
}

bool
rl_editing_escape(RlController *const c)
{
  static const char asks[] = "Not kept yet: Escape again throws away what you typed.";
  const bool        typed =
    !c->editing.taken_back && strcmp(c->editing.input.text, c->editing.before.text) != 0;
  const bool asked = !strcmp(c->editing.error, asks);
  if (rl_editing_is_text(&c->view) && typed && !asked) {
    rl_editing_error(c, asks);
    return false;
  }
  rl_editing_end(c);
  return true;
}

static void
editing_begin(RlController *const c, const RlEdit edit, const RlSlice text)
{
  rl_editing_end(c);
  const bool whole = edit == RL_EDIT_TEXT || edit == RL_EDIT_PLAN;
  rl_text_input_begin(&c->editing.input, text, whole);
  c->view.edit.kind = edit;
  if (!whole) { /* a whole chart would be lost too easily */
    rl_text_input_select(&c->editing.input);
  }
  c->editing.before     = c->editing.input;
  c->editing.taken_back = false;
}

void
rl_editing_take_back(RlController *const c, const bool again)
{
  if (c->editing.taken_back == again) {
    const RlTextInput now = c->editing.input;
    c->editing.input      = c->editing.before;
    c->editing.before     = now;
    c->editing.taken_back = !again;
    rl_editing_error(c, "");
  }
}

void
rl_editing_open_bar(RlController *const c, const int index)
{
  const RlForm *const f = c->view.form;
  if (f && index >= 0 && index < f->bars + f->ending_bars) {
    RlText text = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
    rl_chart_edit_text(f, f->bar[index].written, &text);
    editing_begin(c, RL_EDIT_BAR, rl_slice(c->scratch.text));
    c->view.edit.bar = index;
  }
}

void
rl_editing_open_chart(RlController *const c)
{
  const RlForm *const f = c->view.form;
  editing_begin(c, RL_EDIT_TEXT, f ? (RlSlice){f->text, f->text_length} : rl_slice(""));
  c->view.screen = RL_SCREEN_TEXT;
  rl_text_input_put(&c->editing.input, 0, 0);
}

/* Sends a chart that is valid; shows the error of one that is not. */
static bool
chart_send(RlController *const c, const char *const text)
{
  RlChartError error;
  if (rl_chart_read(rl_slice(text), &c->scratch.form, &error)) {
    rl_undo_send_text(c, RL_CHART, c->scratch.form.text);
    return true;
  }
  RlText words = rl_text_in(c->editing.error, sizeof(c->editing.error));
  if (c->view.edit.kind == RL_EDIT_TEXT) {
    rl_chart_error_write(&error, &words);
    rl_text_input_put(&c->editing.input, (size_t)(error.line > 0 ? error.line - 1 : 0), 0);
  } else {
    rl_text_add(&words, error.reason);
    c->view.edit.error_bar = error.bar - 1;
  }
  return false;
}

void
rl_editing_open_plan(RlController *const c)
{
  editing_begin(c, RL_EDIT_PLAN, (RlSlice){c->plan.text, c->plan.text_length});
  c->view.screen = RL_SCREEN_TEXT;
  rl_text_input_put(&c->editing.input, 0, 0);
}

void
rl_editing_open_search(RlController *const c)
{
  editing_begin(c, RL_EDIT_FIND,
                rl_slice(c->view.screen == RL_SCREEN_CHARTS ? c->charts.query : c->search.query));
}

void
rl_editing_open_words(RlController *const c, const RlEdit edit, const char *const words)
{
  editing_begin(c, edit, rl_slice(words));
}

/* Sends a plan that is valid; shows the error of one that is not. */
static bool
plan_keep(RlController *const c, const char *const text)
{
  RlPlanError error;
  if (rl_plan_read(rl_slice(text), &c->scratch.lane.phrase, &c->scratch.plan, &error)) {
    rl_undo_send_text(c, RL_PLAN, c->scratch.plan.text);
    return true;
  }
  RlText words = rl_text_in(c->editing.error, sizeof(c->editing.error));
  rl_plan_error_write(&error, &words);
  rl_text_input_put(&c->editing.input, (size_t)(error.line > 0 ? error.line - 1 : 0), 0);
  return false;
}

/* Sends the chart with the bar replaced, with one more after it, or without it. */
static bool
bar_keep(RlController *const c, const RlActionKind kind)
{
  const RlForm *const f       = c->view.form;
  const int           written = f->bar[c->view.edit.bar].written;
  const RlSlice       words   = {c->editing.input.text, c->editing.input.length};
  RlText              out     = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  const char *const   why =
    kind == RL_ACTION_BAR_INSERT   ? rl_chart_edit_insert(f, written, words, &out)
      : kind == RL_ACTION_BAR_DELETE ? rl_chart_edit_delete(f, written, &out)
                                     : rl_chart_edit_bar(f, written, words, &out);
  if (why) {
    rl_editing_error(c, why);
    return false;
  }
  return chart_send(c, c->scratch.text);
}

static bool
start_bar_keep(RlController *const c)
{
  const RlPortInfo *const port = &rl_ports[RL_PORT_START_BAR];
  char                   *end;
  const long              bar = strtol(c->editing.input.text, &end, 10);
  if (end == c->editing.input.text || *end || (float)bar < port->low || (float)bar > port->high) {
    rl_editing_error(c, "write a bar of the DAW, -999 to 9999");
    return false;
  }
  rl_settings_set(c, RL_PORT_START_BAR, (float)bar);
  return true;
}

bool
rl_editing_keep(RlController *const c, const RlActionKind kind)
{
  switch (c->view.edit.kind) {
  case RL_EDIT_BAR:
    return bar_keep(c, kind);
  case RL_EDIT_TEXT:
    return chart_send(c, c->editing.input.text);
  case RL_EDIT_PLAN:
    return plan_keep(c, c->editing.input.text);
  case RL_EDIT_FIND:
    if (c->view.screen == RL_SCREEN_CHARTS) {
      rl_charts_search_select_first(c);
    } else {
      rl_search_select_first(c);
    }
    return true;
  case RL_EDIT_PATH:
    rl_charts_walk(c, c->editing.input.text);
    return true;
  case RL_EDIT_NAME:
    return rl_chart_saving_keep_name(c);
  case RL_EDIT_TITLE:
    return rl_naming_keep(c);
  case RL_EDIT_REMARK:
  case RL_EDIT_FEEL:
    return rl_phrase_edits_keep(c);
  case RL_EDIT_FIELD:
    if (c->view.edit.list == RL_FIELD_START_BAR) {
      return start_bar_keep(c);
    }
    rl_undo_send_text(c, RL_OSC_TO, c->editing.input.text);
    return true;
  default:
    return true;
  }
}

void
rl_editing_open_list(RlController *const c, const int field)
{
  char          words[RL_ADDRESS_SIZE];
  RlText        text = rl_text_in(words, sizeof(words));
  RlView *const v    = &c->view;
  if (rl_field_typed((RlField)field)) {
    const RlScreen screen = v->screen;
    rl_field_typing(v, (RlField)field, &text);
    editing_begin(c, RL_EDIT_FIELD, rl_slice(words));
    v->screen = screen;
  }
  v->edit.list = field;
  v->focus     = -1;
}
