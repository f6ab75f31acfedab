/* SPDX-License-Identifier: ISC */
#include "ui/controller/chart_saving.h"

#include "ui/controller/controller_state.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Frees `save` where it cannot be begun. */
static void
save_begin(RlController *const c, RlChartSave *const save)
{
  RlBackground *const saving = save && !c->saving.background ? rl_chart_save_begin(save) : NULL;
  if (!saving) {
    free(save);
    c->files.next = RL_NEXT_NOTHING;
    rl_charts_say(c, true,
                  c->saving.background
                    ? "The save before has not ended yet; wait until it has."
                    : "It cannot be saved now: too many files are being waited for, "
                      "or there is not enough memory. Try again.",
                  "", "");
    return;
  }
  c->saving.background = saving;
  c->saving.save       = save;
  c->files.since       = -1;
  c->files.late        = false;
}

static RlChartSave *
save_new(const RlController *const c, const char *const path)
{
  RlChartSave *const save = (RlChartSave *)calloc(1, sizeof(RlChartSave));
  if (save) {
    rl_charts_copy(save->path, sizeof(save->path), path);
    rl_charts_copy(save->presets, sizeof(save->presets), c->charts.presets);
    save->makes_folder = rl_path_lies_in(path, c->charts.own);
    rl_chart_origin_text(c, &save->text);
  }
  return save;
}

void
rl_chart_saving_begin(RlController *const c)
{
  if (!c->view.form) {
    return;
  }
  if (!c->origin.file[0] || rl_path_lies_in(c->origin.file, c->charts.presets)) {
    rl_chart_saving_open_name(c);
    return;
  }
  RlChartSave *const save = save_new(c, c->origin.file);
  if (save) {
    save->expects  = true;
    save->expected = c->origin.base;
  }
  save_begin(c, save);
}

/* Where a new file goes: the folder that is listed, unless it is nobody's. */
static const char *
name_folder(const RlController *const c)
{
  const bool listed = c->charts.folder[0] && c->view.charts.place != RL_CHARTS_PRESETS &&
                      strcmp(c->charts.folder, c->charts.presets) != 0;
  return listed ? c->charts.folder : c->charts.own;
}

/* The file's own name, else one made of the title: letters and digits, the others as dashes. */
static void
name_propose(const RlController *const c, RlText *const text)
{
  const char *const slash = strrchr(c->origin.file, '/');
  const RlSlice     title = rl_slice_trim(rl_form_text(c->view.form, c->view.form->title));
  if (slash) {
    rl_file_name_write(slash + 1, text);
    return;
  }
  for (size_t i = 0; i < title.length; ++i) {
    const char c0      = title.at[i];
    const bool upper   = c0 >= 'A' && c0 <= 'Z';
    const bool kept    = upper || (c0 >= 'a' && c0 <= 'z') || (c0 >= '0' && c0 <= '9');
    const char sign[2] = {upper ? (char)(c0 + 'a' - 'A') : c0, '\0'};
    const bool dash    = text->used && text->to[text->used - 1] != '-';
    rl_text_add(text, kept ? sign : dash ? "-" : "");
  }
  rl_text_add(text, text->used ? ".chart" : "untitled.chart");
}

void
rl_chart_saving_open_name(RlController *const c)
{
  char              name[RL_TITLE_QUOTE_SIZE + 64];
  const char *const folder = name_folder(c);
  RlText            text   = rl_text_in(name, sizeof(name));
  if (!c->view.form) {
    return;
  }
  if (!folder[0]) {
    rl_charts_say(c, true, "Choose a folder to save it in first.", "", "");
    return;
  }
  name_propose(c, &text);
  rl_editing_open_words(c, RL_EDIT_NAME, name);
  rl_chart_files_ask(c, RL_CHARTS_ASK_NAME, "Save it as a file in ", folder, ". Its name:");
}

/* Why a name is none; NULL if it is one. */
static const char *
name_wrong(const RlSlice name)
{
  enum { NAME_MOST = 255 - sizeof(".chart") + 1 }; /* bytes of a file's name */
  return !name.length ? "write a name"
         : memchr(name.at, '/', name.length)
           ? "a name has no slash; choose the folder in the list, then save"
         : name.at[0] == '.'
           ? "a name that begins with a dot would not be listed; write another one"
         : rl_slice_bad_byte(name) >= 0 ? "it has signs that a name cannot have; write another one"
         : name.length > NAME_MOST      ? "too long; a name has up to 249 bytes"
                                        : NULL;
}

bool
rl_chart_saving_keep_name(RlController *const c)
{
  char              path[RL_PATH_SIZE + 300];
  const RlSlice     name   = rl_slice_trim(rl_slice(c->editing.input.text));
  const char *const wrong  = name_wrong(name);
  const char *const folder = name_folder(c);
  const bool        named = name.length > 6 && !strncasecmp(name.at + name.length - 6, ".chart", 6);
  RlText            text  = rl_text_in(path, sizeof(path));
  rl_text_add(&text, folder[1] ? folder : "");
  rl_text_add(&text, "/");
  rl_text_add_slice(&text, name);
  rl_text_add(&text, named ? "" : ".chart");
  if (wrong || text.used >= RL_PATH_SIZE) {
    rl_editing_error(c, wrong ? wrong : "too long; choose a folder nearer to the root");
    return false;
  }
  c->view.charts.ask = RL_CHARTS_ASK_NOTHING;
  if (!strcmp(path, c->origin.file)) { /* its own file: as by saving */
    RlChartSave *const save = save_new(c, path);
    if (save) {
      save->expects  = true;
      save->expected = c->origin.base;
    }
    save_begin(c, save);
  } else {
    save_begin(c, save_new(c, path));
  }
  return true;
}

/* ---- what has come of saving ---- */

static void
save_done(RlController *const c, const RlChartSave *const save)
{
  const RlForm *const f = c->view.form;
  c->origin.base        = save->text;
  rl_charts_copy(c->origin.file, sizeof(c->origin.file), save->path);
  c->view.charts.saved = rl_chart_origin_saved(c);
  rl_chart_origin_note(c, save->path);
  if (c->view.charts.saved && f) { /* so that host and session know the file too */
    c->plugin.set_text(c->plugin.data, RL_CHART_FILE, save->path);
  }
  rl_charts_say(c, false, "Saved in ", save->path, ".");
  if (c->files.next != RL_NEXT_NOTHING) {
    rl_chart_files_next(c);
  } else if (c->view.screen == RL_SCREEN_CHARTS) {
    rl_charts_list_again(c, save->path);
  }
}

/* What was said, for whoever has left the screen of charts. */
static void
notice_show(RlController *const c)
{
  if (c->view.screen != RL_SCREEN_CHARTS) {
    rl_charts_copy(c->notice, sizeof(c->notice), c->charts.words);
  }
}

static void
over_ask(RlController *const c, const RlChartSave *const save)
{
  static const char *const words[] = {
    [RL_SAVE_THERE]   = " is there already, with something else in it.",
    [RL_SAVE_CHANGED] = " was changed by somebody else since it was read.",
    [RL_SAVE_OTHER]   = " holds a chart with another title.",
    [RL_SAVE_GONE]    = " is not there any more.",
  };
  c->saving.over = (RlChartSave *)malloc(sizeof(RlChartSave));
  if (c->saving.over) {
    *c->saving.over = *save;
    rl_chart_files_ask(c, save->saved == RL_SAVE_GONE ? RL_CHARTS_ASK_GONE : RL_CHARTS_ASK_OVER, "",
                       save->path, words[save->saved]);
  }
  if (c->view.screen != RL_SCREEN_CHARTS) { /* nobody would see the question */
    rl_charts_say(c, true, "Not saved. ", save->path, words[save->saved]);
    notice_show(c);
  }
}

void
rl_chart_saving_take(RlController *const c)
{
  const RlChartSave *const save = c->saving.save;
  RlBackground *const      done = c->saving.background;
  c->saving.background          = NULL;
  c->saving.save                = NULL;
  if (save->saved == RL_SAVE_DONE ||
      (save->saved == RL_SAVE_THERE && rl_chart_text_is(&save->found, &save->text))) {
    save_done(c, save);
  } else if (save->saved == RL_SAVE_FAILED) {
    c->files.next = RL_NEXT_NOTHING;
    rl_charts_say(c, true, "Not saved. ", save->path, ": ");
    RlText text = {c->charts.words, sizeof(c->charts.words), strlen(c->charts.words)};
    rl_text_add(&text, save->why);
    rl_text_add(&text, ".");
    notice_show(c);
  } else {
    over_ask(c, save);
  }
  rl_background_end(done);
}

void
rl_chart_saving_over(RlController *const c)
{
  RlChartSave *const save = c->saving.over;
  c->saving.over          = NULL;
  if (save) {
    save->expects      = save->saved != RL_SAVE_GONE;
    save->expected     = save->found; /* what was asked about, and nothing else */
    save->other_titles = true;
    save->why[0]       = '\0';
    save_begin(c, save);
  }
}

void
rl_chart_saving_forget(RlController *const c)
{
  free(c->saving.over);
  c->saving.over = NULL;
}

void
rl_chart_saving_close(RlController *const c)
{
  rl_background_end(c->saving.background);
  rl_chart_saving_forget(c);
}
