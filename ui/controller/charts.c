/* SPDX-License-Identifier: ISC */
#include "ui/controller/charts.h"

#include "ui/controller/controller_state.h"
#include "ui/model/words.h"

#include <stdlib.h>
#include <string.h>

static const double patience = 5; /* seconds until it is said that a folder does not answer */

void
rl_charts_copy(char *const to, const size_t size, const char *const text)
{
  RlText out = rl_text_in(to, size);
  rl_text_add(&out, text);
}

void
rl_charts_say(RlController *const c, const bool alarm, const char *const first,
              const char *const path, const char *const last)
{
  RlText text = rl_text_in(c->charts.words, sizeof(c->charts.words));
  rl_text_add(&text, first);
  rl_file_name_write(path, &text);
  rl_text_add(&text, last);
  c->view.charts.alarm = alarm;
  c->redraw.all        = true;
}

/* ---- looking at a chart ---- */

static void
look_end(RlController *const c)
{
  rl_background_end(c->charts.looking);
  c->charts.looking    = NULL;
  c->charts.look       = NULL;
  c->view.charts.form  = NULL;
  c->view.charts.wrong = "";
}

static void
look_begin(RlController *const c, const char *const path)
{
  look_end(c);
  c->charts.looking      = rl_chart_look_begin(path, &c->charts.look);
  c->charts.looked_since = -1;
  if (!c->charts.looking) {
    rl_charts_say(c, true, "", path,
                  ": cannot be read now; too many files are being waited for, or there is not "
                  "enough memory");
  }
}

const RlEntry *
rl_charts_selected(const RlController *const c)
{
  const int selected = c->view.charts.selected;
  return selected >= 0 && selected < c->charts.list.count ? &c->charts.list.entry[selected] : NULL;
}

/* The line with that path; -1: none. */
static int
entry_of(const RlController *const c, const char *const path)
{
  int i = c->charts.list.count - 1;
  while (i >= 0 && strcmp(c->charts.list.entry[i].path, path) != 0) {
    --i;
  }
  return i;
}

void
rl_charts_select(RlController *const c, const int entry)
{
  RlViewCharts *const v     = &c->view.charts;
  const bool          again = entry == v->selected;
  char                path[RL_PATH_SIZE];
  if (entry < 0 || entry >= c->charts.list.count) {
    return;
  }
  rl_charts_copy(path, sizeof(path), c->charts.list.entry[entry].path);
  rl_charts_say(c, false, "", "", "");
  if (c->charts.list.entry[entry].kind <= RL_ENTRY_FOLDER) {
    rl_charts_walk(c, path);
  } else if (again) {
    rl_chart_files_open(c);
  } else {
    v->selected = entry;
    look_begin(c, path);
  }
}

/* ---- searching ---- */

static bool
entry_has(const RlEntry *const entry, const char *const words)
{
  char   all[RL_ENTRY_LABEL_SIZE + RL_ENTRY_ABOUT_SIZE + 300];
  RlText text = rl_text_in(all, sizeof(all));
  rl_text_add(&text, entry->label);
  rl_text_add(&text, "\n");
  rl_text_add(&text, entry->about);
  rl_text_add(&text, "\n");
  rl_file_name_write(strrchr(entry->path, '/') + 1, &text);
  return entry->kind != RL_ENTRY_PARENT && rl_words_all_in(all, rl_slice(words));
}

static void
search_again(RlController *const c)
{
  RlViewCharts *const v = &c->view.charts;
  v->found_count        = 0;
  for (int i = 0; c->charts.query[0] && i < c->charts.list.count; ++i) {
    if (entry_has(&c->charts.list.entry[i], c->charts.query)) {
      c->charts.found[v->found_count++] = i;
    }
  }
}

void
rl_charts_search(RlController *const c, const char *const words)
{
  rl_charts_copy(c->charts.query, sizeof(c->charts.query), words);
  c->view.scroll = 0;
  search_again(c);
}

void
rl_charts_search_select_first(RlController *const c)
{
  if (rl_view_charts_listed(&c->view)) {
    rl_charts_select(c, rl_view_listed_chart(&c->view, 0));
  }
}

/* ---- listing ---- */

/* What was selected before stays so, if it is there. */
static void
list_taken(RlController *const c, const char *const selected)
{
  RlViewCharts *const v = &c->view.charts;
  v->selected           = selected[0] ? entry_of(c, selected) : -1;
  if (v->selected < 0) {
    look_end(c);
  }
  search_again(c);
  if (c->charts.list.missing && v->place == RL_CHARTS_OWN) {
    rl_charts_say(c, false, "No charts of your own yet. Save one, and it is kept in ",
                  c->charts.own, ".");
  } else if (c->charts.list.problem[0]) {
    rl_charts_say(c, true, "", c->charts.list.problem, "");
  }
  c->redraw.all = true;
}

static void
selected_path(const RlController *const c, char path[RL_PATH_SIZE])
{
  const RlEntry *const entry = rl_charts_selected(c);
  rl_charts_copy(path, RL_PATH_SIZE, entry ? entry->path : "");
}

static void
scan_end(RlController *const c)
{
  rl_background_end(c->charts.scanning);
  c->charts.scanning     = NULL;
  c->charts.scan         = NULL;
  c->view.charts.reading = false;
}

/* So that this line of the whole list is in sight. */
static void
scroll_to(RlController *const c, const int entry)
{
  const int shown = c->redraw.layout.entries_shown > 1 ? c->redraw.layout.entries_shown : 1;
  c->view.scroll  = entry < shown ? 0 : entry - shown / 2;
}

/* The list as it was found by names, or as it was read. */
static void
scan_take(RlController *const c)
{
  RlCharts *const s = &c->charts;
  char            selected[RL_PATH_SIZE];
  selected_path(c, selected);
  if (rl_background_done(s->scanning)) {
    rl_chart_list_free(&s->list);
    s->list       = s->scan->list;
    s->scan->list = (RlChartList){0};
    rl_charts_copy(s->folder, sizeof(s->folder), s->scan->folder);
    if (s->scan->chosen[0]) {
      rl_charts_copy(s->wanted, sizeof(s->wanted), s->scan->chosen);
    }
    scan_end(c);
    list_taken(c, selected);
    const int wanted = s->wanted[0] ? entry_of(c, s->wanted) : -1;
    s->wanted[0]     = '\0';
    if (wanted >= 0) { /* also if it is selected already: it may have been saved anew */
      c->view.charts.selected = wanted;
      look_begin(c, s->list.entry[wanted].path);
      scroll_to(c, wanted);
    }
  } else if (rl_chart_scan_names(s->scan, &s->list)) {
    list_taken(c, selected);
  }
}

/* Begins another list. */
static void
scan_started(RlController *const c, RlBackground *const scanning, RlChartScan *const scan)
{
  RlCharts *const s = &c->charts;
  scan_end(c);
  s->scanning            = scanning;
  s->scan                = scan;
  s->scanned_since       = -1;
  c->view.charts.reading = scanning;
  if (!scanning) {
    rl_charts_say(c, true,
                  "Nothing can be listed now: too many folders do not answer, or there is not "
                  "enough memory.",
                  "", "");
  }
}

/* Another folder: nothing of the list before is of use. */
static void
list_forget(RlController *const c)
{
  rl_chart_list_free(&c->charts.list);
  look_end(c);
  rl_charts_search(c, "");
  rl_charts_say(c, false, "", "", "");
  c->view.charts.selected = -1;
}

static void
scan_folder(RlController *const c, const char *const path)
{
  RlChartScan        *scan;
  RlBackground *const scanning = rl_chart_scan_begin(path, &scan);
  rl_charts_copy(c->charts.folder, sizeof(c->charts.folder), path);
  scan_started(c, scanning, scan);
}

static void
scan_recent(RlController *const c)
{
  RlChartScan        *scan;
  RlBackground *const scanning = rl_chart_scan_recent(c->charts.state, &scan);
  c->charts.folder[0]          = '\0';
  scan_started(c, scanning, scan);
}

/* The folder of a place; empty where there is none. */
static void
place_folder(const RlController *const c, const int place, char folder[RL_PATH_SIZE])
{
  const char *const slash = strrchr(c->origin.file, '/');
  RlText            text  = rl_text_in(folder, RL_PATH_SIZE);
  if (place == RL_CHARTS_OWN) {
    rl_text_add(&text, c->charts.own);
  } else if (place == RL_CHARTS_PRESETS) {
    rl_text_add(&text, c->charts.presets);
  } else if (place == RL_CHARTS_BESIDE && slash) {
    rl_text_add_slice(&text, (RlSlice){c->origin.file, (size_t)(slash - c->origin.file)});
    rl_text_add(&text, text.used ? "" : "/");
  }
}

void
rl_charts_go(RlController *const c, const int place)
{
  char folder[RL_PATH_SIZE];
  list_forget(c);
  c->view.charts.place = (RlChartsPlace)place;
  place_folder(c, place, folder);
  if (place == RL_CHARTS_RECENT) {
    scan_recent(c);
  } else if (folder[0]) {
    rl_charts_copy(c->charts.wanted, sizeof(c->charts.wanted),
                   place == RL_CHARTS_BESIDE ? c->origin.file : "");
    scan_folder(c, folder);
  } else {
    scan_end(c);
    c->charts.folder[0] = '\0';
    rl_charts_say(c, false,
                  place == RL_CHARTS_BESIDE ? "The chart that plays came from no file."
                  : place == RL_CHARTS_OWN
                    ? "There is no folder for charts of your own; set HOME or XDG_DATA_HOME."
                    : "The charts that come along are not there; install Reedlamp again.",
                  "", "");
  }
}

/* Who walks by keys goes on at the head of the new list. */
static void
focus_first(RlController *const c)
{
  const RlLayout *const l = &c->redraw.layout;
  for (int i = 0; c->view.focus >= 0 && i < l->spots; ++i) {
    if (l->spot[i].action.kind == RL_ACTION_CHART_SELECT) {
      c->view.focus = i;
      return;
    }
  }
}

void
rl_charts_walk(RlController *const c, const char *const typed)
{
  char              path[RL_PATH_SIZE];
  const char *const home = getenv("HOME");
  const RlSlice     rest = rl_slice_trim(rl_slice(typed));
  RlText            text = rl_text_in(path, sizeof(path));
  const bool        tilde =
    rest.length && rest.at[0] == '~' && (rest.length == 1 || rest.at[1] == '/') && home;
  if (tilde) {
    rl_text_add(&text, home);
  } else if (rest.length && rest.at[0] != '/') {
    rl_text_add(&text, c->charts.folder);
    rl_text_add(&text, "/");
  }
  rl_text_add_slice(&text, rl_slice_after(rest, tilde));
  if (path[0] == '/') {
    focus_first(c);
    list_forget(c);
    c->charts.wanted[0]  = '\0';
    c->view.charts.place = RL_CHARTS_FOLDER;
    scan_folder(c, path);
  }
}

void
rl_charts_list_again(RlController *const c, const char *const wanted)
{
  rl_charts_copy(c->charts.wanted, sizeof(c->charts.wanted), wanted ? wanted : "");
  if (c->view.charts.place == RL_CHARTS_RECENT) {
    scan_recent(c);
  } else if (c->charts.folder[0]) {
    char folder[RL_PATH_SIZE];
    rl_charts_copy(folder, sizeof(folder), c->charts.folder);
    scan_folder(c, folder);
  }
}

void
rl_charts_open(RlController *const c)
{
  const bool first = !c->charts.folder[0] && c->view.charts.place != RL_CHARTS_RECENT;
  rl_charts_say(c, false, "", "", "");
  if (first) {
    rl_charts_go(c, c->origin.file[0]      ? RL_CHARTS_BESIDE
                    : c->charts.presets[0] ? RL_CHARTS_PRESETS
                                           : RL_CHARTS_OWN);
  } else {
    rl_charts_list_again(c, NULL);
  }
}

void
rl_charts_close(RlController *const c)
{
  scan_end(c);
  look_end(c);
  rl_chart_list_free(&c->charts.list);
}

/* ---- time ---- */

/* Says once that a folder or a file does not answer. `since` is when it was asked, -1 just now. */
static void
patience_lose(RlController *const c, double *const since, const double now, const char *const path)
{
  if (*since < 0) {
    *since = now;
  } else if (now - *since > patience) {
    *since = 1e300;
    rl_charts_say(c, true, "", path,
                  ": no answer yet; wait, or choose another folder. The music is not held up.");
  }
}

void
rl_charts_advance(RlController *const c, const double now)
{
  RlCharts *const s = &c->charts;
  if (s->scanning) {
    scan_take(c);
  }
  if (s->scanning) {
    patience_lose(c, &s->scanned_since, now, s->folder);
  }
  if (s->looking && !c->view.charts.form && !c->view.charts.wrong[0]) {
    if (rl_background_done(s->looking)) {
      c->view.charts.form  = s->look->good ? &s->look->form : NULL;
      c->view.charts.wrong = s->look->why;
      c->redraw.all        = true;
    } else {
      patience_lose(c, &s->looked_since, now, s->look->path);
    }
  }
}
