/* SPDX-License-Identifier: ISC */
#include "ui/controller/chart_files.h"

#include "ui/controller/controller_state.h"

#include <stdlib.h>
#include <string.h>

static const double patience = 5; /* seconds until it is said that a file does not answer */

/* ---- opening ---- */

void
rl_chart_files_ask(RlController *const c, const RlChartsAsk what, const char *const first,
                   const char *const path, const char *const last)
{
  RlText text = rl_text_in(c->files.question, sizeof(c->files.question));
  rl_text_add(&text, first);
  rl_file_name_write(path, &text);
  rl_text_add(&text, last);
  c->view.charts.ask = what;
  c->view.focus      = -1;
  c->redraw.all      = true;
}

static void
new_write(const int key, RlText *const text)
{
  char   name[RL_NAME_SIZE];
  RlText tonic = rl_text_in(name, sizeof(name));
  rl_key_write(rl_key_named(key % 12, key >= 12), &tonic);
  rl_text_add(text, "title: Twelve-bar in ");
  rl_text_add(text, name);
  rl_text_add(text, "\nkey: ");
  rl_text_add(text, name);
  rl_text_add(text, "\nmeter: 4/4\n");
  rl_text_add(text, key >= 12 ? "| i7 | % | % | % |\n" : "| I7 | % | % | % |\n");
  rl_text_add(text, "| %  | % | % | % |\n| %  | % | % | % |\n");
}

static bool
meter_changes(const RlForm *const form)
{
  bool changes = false;
  for (int i = 0; i < form->bars + form->ending_bars; ++i) {
    changes =
      changes || form->bar[i].beats != form->bar[0].beats || form->bar[i].unit != form->bar[0].unit;
  }
  return changes;
}

/* What a preset of the host's would set is the player's to set: a DAW may change its meter too. */
static void
meter_say(RlController *const c)
{
  const RlForm *const form = c->view.charts.form;
  if (form && meter_changes(form) && c->view.port[RL_PORT_COUNT_BY] <= 0) {
    rl_charts_copy(c->notice, sizeof(c->notice),
                   "The meter of this chart changes on the way. If that of the DAW does not change "
                   "with it, set count by to beats.");
  }
}

/* Nothing would be lost now: what was to be done is done. */
void
rl_chart_files_next(RlController *const c)
{
  const RlChartNext next = c->files.next;
  c->files.next          = RL_NEXT_NOTHING;
  if (next == RL_NEXT_OPEN) {
    rl_chart_origin_note(c, c->files.next_path);
    rl_undo_open_chart(c, c->files.next_path);
    meter_say(c);
  } else if (next == RL_NEXT_NEW) {
    RlText text = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
    new_write(c->files.next_key, &text);
    c->origin.file[0] = '\0';
    rl_undo_send_text(c, RL_CHART, c->scratch.text);
  }
  if (next != RL_NEXT_NOTHING) {
    c->view.screen = RL_SCREEN_PLAY;
    c->view.follow = true;
  }
}

static void
lost_ask(RlController *const c, const char *const why)
{
  char        title[RL_TITLE_QUOTE_SIZE];
  RlText      text = rl_text_in(title, sizeof(title));
  const char *last = c->origin.file[0] ? "\" was changed and is not saved. It would be lost."
                                       : "\" is in no file. It would be lost.";
  rl_text_add_slice(&text, rl_form_text(c->view.form, c->view.form->title));
  rl_text_add(&text, title[0] ? "" : "Untitled");
  rl_chart_files_ask(c, RL_CHARTS_ASK_LOST, "\"", title, *why ? why : last);
}

/* Finds out whether the chart in force is kept in a file. */
static void
next_begin(RlController *const c, const RlChartNext next)
{
  RlChartFiles *const f    = &c->files;
  RlChartKept *const  kept = (RlChartKept *)calloc(1, sizeof(RlChartKept));
  f->next                  = next;
  if (!c->view.form) {
    free(kept);
    rl_chart_files_next(c);
    return;
  }
  rl_background_end(f->asking);
  f->asking = NULL;
  f->kept   = kept;
  f->since  = -1;
  f->late   = false;
  if (kept) {
    rl_chart_origin_text(c, &kept->text);
    rl_charts_copy(kept->file, sizeof(kept->file), c->origin.file);
    rl_charts_copy(kept->presets, sizeof(kept->presets), c->charts.presets);
    f->asking = rl_chart_kept_begin(kept);
  }
  if (!f->asking) {
    free(kept);
    lost_ask(c, "\" may be in no file. It would be lost.");
  }
}

void
rl_chart_files_open(RlController *const c)
{
  const RlEntry *const entry = rl_charts_selected(c);
  if (!entry || entry->kind <= RL_ENTRY_FOLDER) {
    rl_charts_say(c, false, "Choose a chart in the list first.", "", "");
  } else if (entry->kind == RL_ENTRY_WRONG || entry->kind == RL_ENTRY_GONE) {
    rl_charts_say(c, true, "", entry->label, " cannot be opened: see what is said beside it.");
  } else if (strlen(entry->path) > rl_properties[RL_CHART_FILE].most) {
    rl_charts_say(c, true, "The path is too long; move the chart nearer to the root.", "", "");
  } else {
    rl_charts_copy(c->files.next_path, sizeof(c->files.next_path), entry->path);
    next_begin(c, RL_NEXT_OPEN);
  }
}

void
rl_chart_files_ask_key(RlController *const c)
{
  rl_chart_files_ask(c, RL_CHARTS_ASK_KEY, "A new chart, twelve bars long. In which key?", "", "");
}

void
rl_chart_files_new(RlController *const c, const int key)
{
  c->view.charts.ask = RL_CHARTS_ASK_NOTHING;
  c->files.next_key  = key;
  next_begin(c, RL_NEXT_NEW);
}

/* ---- answers ---- */

static void
cancel(RlController *const c)
{
  c->files.next = RL_NEXT_NOTHING;
  rl_chart_saving_forget(c);
  rl_background_end(c->files.asking);
  c->files.asking = NULL;
}

void
rl_chart_files_answer(RlController *const c, const int answer)
{
  const bool naming = c->view.edit.kind == RL_EDIT_NAME;
  if (answer == RL_CHARTS_SAVE_NAME) {
    if (naming && rl_chart_saving_keep_name(c)) {
      rl_editing_end(c);
    }
    return;
  }
  c->view.charts.ask = RL_CHARTS_ASK_NOTHING;
  if (naming) {
    rl_editing_end(c);
  }
  switch (answer) {
  case RL_CHARTS_SAVE_FIRST:
    rl_chart_saving_begin(c);
    break;
  case RL_CHARTS_OPEN_ANYWAY:
    rl_chart_files_next(c);
    break;
  case RL_CHARTS_SAVE_OVER:
  case RL_CHARTS_SAVE_AGAIN:
    rl_chart_saving_over(c);
    break;
  case RL_CHARTS_OTHER_NAME:
    rl_chart_saving_forget(c);
    rl_chart_saving_open_name(c);
    break;
  default:
    cancel(c);
    break;
  }
}

/* ---- time ---- */

static bool
is_late(RlController *const c, const double now)
{
  RlChartFiles *const f = &c->files;
  f->since              = f->since < 0 ? now : f->since;
  const bool late       = !f->late && now - f->since > patience;
  f->late               = f->late || late;
  return late;
}

static void
asking_advance(RlController *const c, const double now)
{
  if (rl_background_done(c->files.asking)) {
    const bool kept = c->files.kept->kept;
    rl_background_end(c->files.asking);
    c->files.asking = NULL;
    if (kept) {
      rl_chart_files_next(c);
    } else {
      lost_ask(c, "");
    }
  } else if (is_late(c, now)) {
    rl_background_end(c->files.asking);
    c->files.asking = NULL;
    lost_ask(c, "\" may be lost: its file does not answer.");
  }
}

/* What is asked is answered where it is asked: whoever leaves the screen has cancelled it. */
static void
left_forget(RlController *const c)
{
  if (c->view.screen != RL_SCREEN_CHARTS) {
    c->view.charts.ask = RL_CHARTS_ASK_NOTHING;
    cancel(c);
  }
}

void
rl_chart_files_advance(RlController *const c, const double now)
{
  left_forget(c);
  if (c->files.asking) {
    asking_advance(c, now);
  }
  if (c->saving.background && rl_background_done(c->saving.background)) {
    rl_chart_saving_take(c);
  } else if (c->saving.background && is_late(c, now)) {
    rl_charts_say(
      c, true, "", c->saving.save->path,
      ": no answer yet; it is not known whether it is saved. Wait, or save it as another "
      "file once this has ended.");
  }
}

void
rl_chart_files_close(RlController *const c)
{
  rl_background_end(c->files.asking);
}
