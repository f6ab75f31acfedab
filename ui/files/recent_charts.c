/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* flock() */
#include "ui/files/recent_charts.h"

#include "plugin/protocol/properties.h"
#include "ui/files/chart_save.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

enum { FILE_SIZE = RL_RECENT_CHARTS * RL_PATH_SIZE };

static bool
path_make(char path[RL_PATH_SIZE], const char *const folder, const char *const name)
{
  return folder[0] && snprintf(path, RL_PATH_SIZE, "%s/%s", folder, name) < RL_PATH_SIZE;
}

/* The lines of the file, NUL-terminated, in FILE_SIZE bytes. 0, or an errno. */
static int
lines_read(const char *const folder, char *const lines)
{
  char path[RL_PATH_SIZE];
  lines[0]         = '\0';
  FILE *const file = path_make(path, folder, "recent-charts") ? fopen(path, "re") : NULL;
  if (!file) {
    return errno == ENOENT || errno == ENOTDIR || !folder[0] ? 0 : errno;
  }
  const size_t got   = fread(lines, 1, FILE_SIZE - 1, file);
  const int    error = ferror(file) ? EIO : 0;
  lines[got]         = '\0';
  fclose(file);
  return error;
}

/* The next line, and `at` put behind it; empty at the end. */
static RlSlice
line_next(RlSlice *const at)
{
  RlSlice line = {at->at, 0};
  while (!line.length && at->length) {
    line = (RlSlice){at->at, rl_slice_until(*at, "\n")};
    *at  = rl_slice_after(*at, line.length + 1);
  }
  return line;
}

void
rl_recent_charts_read(const char *const folder, RlChartList *const list)
{
  char *const lines = (char *)malloc(FILE_SIZE);
  const int   why   = lines ? lines_read(folder, lines) : ENOMEM;
  RlText      text  = rl_text_in(list->problem, sizeof(list->problem));
  if (why) {
    rl_text_add(&text, "recent charts: ");
    rl_file_why(why, &text);
  }
  RlSlice rest = rl_slice(why || !lines ? "" : lines);
  for (RlSlice line = line_next(&rest); line.length; line = line_next(&rest)) {
    char path[RL_PATH_SIZE];
    if (line.at[0] == '/' && line.length < sizeof(path) && list->count < RL_RECENT_CHARTS) {
      memcpy(path, line.at, line.length);
      path[line.length] = '\0';
      rl_chart_list_add(list, RL_ENTRY_UNREAD, path);
    }
  }
  free(lines);
}

/* The path first, then the others that were there. */
static void
lines_make(const char *const path, const char *const before, RlText *const text)
{
  int     count = 1;
  RlSlice rest  = rl_slice(before);
  rl_text_add(text, path);
  rl_text_add(text, "\n");
  for (RlSlice line = line_next(&rest); line.length; line = line_next(&rest)) {
    if (!rl_slice_is(line, path) && line.length < RL_PATH_SIZE && count++ < RL_RECENT_CHARTS) {
      rl_text_add_slice(text, line);
      rl_text_add(text, "\n");
    }
  }
}

static int
lines_write(const char *const folder, const char *const path)
{
  enum { MADE_SIZE = FILE_SIZE + RL_PATH_SIZE };
  char        file[RL_PATH_SIZE];
  char *const before = (char *)malloc(FILE_SIZE + MADE_SIZE);
  if (!before || !path_make(file, folder, "recent-charts")) {
    free(before);
    return before ? ENAMETOOLONG : ENOMEM;
  }
  RlText text = rl_text_in(before + FILE_SIZE, MADE_SIZE);
  int    why  = lines_read(folder, before);
  if (!why) {
    lines_make(path, before, &text);
    why = rl_file_replace(file, (RlSlice){text.to, text.used}, NULL);
  }
  free(before);
  return why;
}

/* One at a time, whichever window and host: the lock is on a file of its own, for the list itself
   is replaced. */
int
rl_recent_charts_add(const char *const folder, const char *const path)
{
  char lock_path[RL_PATH_SIZE];
  if (path[0] != '/' || strchr(path, '\n') || !path_make(lock_path, folder, "recent-charts.lock")) {
    return EINVAL;
  }
  int       why  = rl_folders_make(folder);
  const int lock = why ? -1 : open(lock_path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
  why            = why ? why : lock < 0 || flock(lock, LOCK_EX) ? errno : lines_write(folder, path);
  if (lock >= 0) {
    close(lock);
  }
  return why;
}

/* ---- in the background ---- */

typedef struct {
  char folder[RL_PATH_SIZE], path[RL_PATH_SIZE];
} Note;

static void
note_work(void *const data, const RlBackground *const background)
{
  const Note *const note = (const Note *)data;
  (void)background;
  rl_recent_charts_add(note->folder, note->path);
}

void
rl_recent_charts_note(const char *const folder, const char *const path)
{
  Note *const note = (Note *)calloc(1, sizeof(Note));
  if (!note || snprintf(note->folder, RL_PATH_SIZE, "%s", folder) >= RL_PATH_SIZE ||
      snprintf(note->path, RL_PATH_SIZE, "%s", path) >= RL_PATH_SIZE) {
    free(note);
    return;
  }
  RlBackground *const background = rl_file_work_begin(note_work, free, note);
  if (background) {
    rl_background_end(background);
  } else {
    free(note);
  }
}
