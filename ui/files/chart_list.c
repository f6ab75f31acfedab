/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* dirent.d_type */
#include "ui/files/chart_list.h"

#include "plugin/protocol/properties.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

void
rl_chart_list_free(RlChartList *const list)
{
  for (int i = 0; i < list->count; ++i) {
    free(list->entry[i].path);
  }
  free(list->entry);
  *list = (RlChartList){0};
}

static void
problem_set(RlChartList *const list, const char *const where, const char *const why)
{
  RlText text = rl_text_in(list->problem, sizeof(list->problem));
  rl_file_name_write(where, &text);
  rl_text_add(&text, ": ");
  rl_text_add(&text, why);
}

static bool
room_make(RlChartList *const list)
{
  if (list->count < list->capacity) {
    return true;
  }
  const int      capacity = list->capacity ? 2 * list->capacity : 64;
  RlEntry *const entry    = (RlEntry *)realloc(list->entry, (size_t)capacity * sizeof(RlEntry));
  if (entry) {
    list->entry    = entry;
    list->capacity = capacity;
  }
  return entry;
}

bool
rl_chart_list_add(RlChartList *const list, const RlEntryKind kind, const char *const path)
{
  const char *const slash = strrchr(path, '/');
  char *const       copy  = room_make(list) ? strdup(path) : NULL;
  if (!copy) {
    problem_set(list, path, "not enough memory to list it; close another program");
    return false;
  }
  RlEntry *const entry = &list->entry[list->count++];
  RlText         label = rl_text_in(entry->label, sizeof(entry->label));
  entry->kind          = kind;
  entry->path          = copy;
  entry->about[0]      = '\0';
  rl_file_name_write(slash && slash[1] ? slash + 1 : path, &label);
  return true;
}

/* ---- a folder ---- */

static bool
is_chart_name(const char *const name)
{
  const char *const dot = strrchr(name, '.');
  return dot && !strcasecmp(dot, ".chart");
}

/* Links are followed. */
static bool
is_folder(const struct dirent *const file, const char *const path)
{
  struct stat is;
  return file->d_type == DT_DIR || ((file->d_type == DT_UNKNOWN || file->d_type == DT_LNK) &&
                                    !stat(path, &is) && S_ISDIR(is.st_mode));
}

static bool
file_add(RlChartList *const list, const char *const folder, const struct dirent *const file)
{
  char path[RL_PATH_SIZE];
  if (file->d_name[0] == '.' || snprintf(path, sizeof(path), "%s/%s", folder[1] ? folder : "",
                                         file->d_name) >= RL_PATH_SIZE) {
    return true;
  }
  if (list->count >= RL_CHARTS_MAX) {
    problem_set(list, folder, "more than 20000 charts; the rest is left out");
    return false;
  }
  return is_folder(file, path)         ? rl_chart_list_add(list, RL_ENTRY_FOLDER, path)
         : is_chart_name(file->d_name) ? rl_chart_list_add(list, RL_ENTRY_UNREAD, path)
                                       : true;
}

static void
parent_add(RlChartList *const list, const char *const folder)
{
  char *const above = strdup(folder);
  char *const slash = above ? strrchr(above, '/') : NULL;
  if (slash && folder[1]) {
    slash[slash == above] = '\0';
    if (rl_chart_list_add(list, RL_ENTRY_PARENT, above)) {
      RlText label = rl_text_in(list->entry[0].label, sizeof(list->entry[0].label));
      rl_text_add(&label, "..");
    }
  }
  free(above);
}

void
rl_chart_list_folder(RlChartList *const list, const char *const folder)
{
  DIR *const at    = opendir(folder);
  const int  error = at ? 0 : errno;
  parent_add(list, folder);
  if (!at) {
    char   words[RL_FILE_WORDS_SIZE];
    RlText why = rl_text_in(words, sizeof(words));
    rl_file_why(error, &why);
    problem_set(list, folder, words);
    list->missing = error == ENOENT;
    return;
  }
  for (const struct dirent *file; (file = readdir(at));) {
    if (!file_add(list, folder, file)) {
      break;
    }
  }
  closedir(at);
  rl_chart_list_sort(list);
}

/* Folders before charts; by label in any case, then by path, so that the order is always the same.
 */
static int
by_label(const void *const left, const void *const right)
{
  const RlEntry *const a    = (const RlEntry *)left;
  const RlEntry *const b    = (const RlEntry *)right;
  const int            rank = (int)(a->kind < RL_ENTRY_UNREAD ? a->kind : RL_ENTRY_UNREAD) -
                   (int)(b->kind < RL_ENTRY_UNREAD ? b->kind : RL_ENTRY_UNREAD);
  const int order = rank ? rank : strcasecmp(a->label, b->label);
  return order ? order : strcmp(a->path, b->path);
}

void
rl_chart_list_sort(RlChartList *const list)
{
  if (list->count) {
    qsort(list->entry, (size_t)list->count, sizeof(RlEntry), by_label);
  }
}

/* ---- a chart ---- */

void
rl_chart_about(const RlForm *const form, RlText *const text)
{
  const RlSlice feel = rl_form_text(form, form->feel);
  rl_text_add_int(text, form->bars);
  rl_text_add(text, form->bars == 1 ? " bar" : " bars");
  if (form->has_key) {
    rl_text_add(text, " in ");
    rl_key_write(form->key, text);
  }
  rl_text_add(text, ", ");
  rl_text_add_int(text, form->meter_beats);
  rl_text_add(text, "/");
  rl_text_add_int(text, form->meter_unit);
  if (feel.length) {
    rl_text_add(text, ", ");
    rl_text_add_slice(text, feel);
  }
}

void
rl_chart_list_read(RlEntry *const entry, RlForm *const form, RlChartText *const text)
{
  RlChartError error;
  RlText       about = rl_text_in(entry->about, sizeof(entry->about));
  const int    why   = rl_chart_text_read(entry->path, text);
  if (why) {
    entry->kind = why == ENOENT || why == ENOTDIR ? RL_ENTRY_GONE : RL_ENTRY_WRONG;
    rl_file_why(why, &about);
  } else if (!rl_chart_read((RlSlice){text->text, text->length}, form, &error)) {
    entry->kind = RL_ENTRY_WRONG;
    rl_chart_error_write(&error, &about);
  } else {
    entry->kind = RL_ENTRY_CHART;
    rl_chart_about(form, &about);
    if (form->title.length) {
      RlText label = rl_text_in(entry->label, sizeof(entry->label));
      rl_text_add_slice(&label, rl_form_text(form, form->title));
    }
  }
}
