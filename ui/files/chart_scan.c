/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* realpath() */
#include "ui/files/chart_scan.h"

#include "ui/files/recent_charts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static void
scan_drop(void *const data)
{
  RlChartScan *const scan  = (RlChartScan *)data;
  RlChartList *const names = atomic_exchange(&scan->names, NULL);
  if (names) {
    rl_chart_list_free(names);
  }
  free(names);
  rl_chart_list_free(&scan->list);
  free(scan);
}

/* The list as it is now, for whoever waits: reading all of it may take a while. */
static void
names_show(RlChartScan *const scan)
{
  RlChartList *const names = (RlChartList *)calloc(1, sizeof(RlChartList));
  bool               whole = names;
  for (int i = 0; whole && i < scan->list.count; ++i) {
    const RlEntry *const entry = &scan->list.entry[i];
    whole                      = rl_chart_list_add(names, entry->kind, entry->path);
    if (whole) {
      memcpy(names->entry[i].label, entry->label, sizeof(entry->label));
    }
  }
  if (names) {
    memcpy(names->problem, scan->list.problem, sizeof(names->problem));
    names->missing = scan->list.missing;
    atomic_store(&scan->names, names);
  }
}

static void
all_read(RlChartScan *const scan, const RlBackground *const background)
{
  RlForm *const      form = (RlForm *)malloc(sizeof(RlForm));
  RlChartText *const text = (RlChartText *)malloc(sizeof(RlChartText));
  for (int i = 0; form && text && i < scan->list.count && rl_background_wanted(background); ++i) {
    if (scan->list.entry[i].kind == RL_ENTRY_UNREAD) {
      rl_chart_list_read(&scan->list.entry[i], form, text);
    }
  }
  free(text);
  free(form);
}

static void
copy(char *const to, const char *const path)
{
  RlText text = rl_text_in(to, RL_PATH_SIZE);
  rl_text_add(&text, path);
}

/* Without `..` and links where there is such a path; of a file, its folder. */
static void
path_settle(RlChartScan *const scan)
{
  struct stat is;
  char *const real = realpath(scan->folder, NULL);
  if (real && strlen(real) < RL_PATH_SIZE) {
    copy(scan->folder, real);
  }
  free(real);
  if (!stat(scan->folder, &is) && !S_ISDIR(is.st_mode)) {
    copy(scan->chosen, scan->folder);
    char *const slash                    = strrchr(scan->folder, '/');
    slash[slash == scan->folder ? 1 : 0] = '\0';
  }
}

static bool
has(const RlChartList *const list, const char *const path)
{
  int i = 0;
  while (i < list->count && strcmp(list->entry[i].path, path) != 0) {
    ++i;
  }
  return i < list->count;
}

/* A file that was named is listed whatever it is called. */
static void
folder_work(void *const data, const RlBackground *const background)
{
  RlChartScan *const scan = (RlChartScan *)data;
  path_settle(scan);
  rl_chart_list_folder(&scan->list, scan->folder);
  if (scan->chosen[0] && !has(&scan->list, scan->chosen)) {
    rl_chart_list_add(&scan->list, RL_ENTRY_UNREAD, scan->chosen);
  }
  names_show(scan);
  all_read(scan, background);
  rl_chart_list_sort(&scan->list);
}

static void
recent_work(void *const data, const RlBackground *const background)
{
  RlChartScan *const scan = (RlChartScan *)data;
  rl_recent_charts_read(scan->state, &scan->list);
  names_show(scan);
  all_read(scan, background);
}

static RlBackground *
begin(const char *const folder, const char *const state, RlChartScan **const scan,
      void (*const work)(void *data, const RlBackground *background))
{
  *scan                    = (RlChartScan *)calloc(1, sizeof(RlChartScan));
  RlBackground *background = NULL;
  if (*scan) {
    copy((*scan)->folder, folder);
    copy((*scan)->state, state);
    background = rl_file_work_begin(work, scan_drop, *scan);
  }
  if (!background) {
    free(*scan);
    *scan = NULL;
  }
  return background;
}

RlBackground *
rl_chart_scan_begin(const char *const path, RlChartScan **const scan)
{
  return begin(path, "", scan, folder_work);
}

RlBackground *
rl_chart_scan_recent(const char *const state, RlChartScan **const scan)
{
  return begin("", state, scan, recent_work);
}

bool
rl_chart_scan_names(RlChartScan *const scan, RlChartList *const list)
{
  RlChartList *const names = atomic_exchange(&scan->names, NULL);
  const bool         fresh = names;
  if (fresh) {
    rl_chart_list_free(list);
    *list = *names;
  }
  free(names);
  return fresh;
}
