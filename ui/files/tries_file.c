/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* flock() */
#include "ui/files/tries_file.h"

#include "ui/files/chart_save.h"
#include "ui/files/chart_text.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

static bool
path_make(char path[RL_PATH_SIZE], const char *const folder, const char *const name)
{
  return folder[0] && snprintf(path, RL_PATH_SIZE, "%s/%s", folder, name) < RL_PATH_SIZE;
}

int
rl_tries_file_read(const char *const folder, RlTries *const tries)
{
  char path[RL_PATH_SIZE];
  memset(tries, 0, sizeof(*tries));
  if (!path_make(path, folder, "tries")) {
    return 0;
  }
  RlChartText *const file = (RlChartText *)calloc(1, sizeof(RlChartText));
  const int          why  = file ? rl_chart_text_read(path, file) : ENOMEM;
  if (!why) {
    rl_tries_read(tries, (RlSlice){file->text, file->length});
  }
  free(file);
  return why == ENOENT || why == ENOTDIR ? 0 : why;
}

static int
sum_write(const char *const folder, const RlTries *const more)
{
  char      path[RL_PATH_SIZE], words[RL_TRIES_TEXT + 1];
  RlTries   all;
  RlText    text = rl_text_in(words, sizeof(words));
  const int why  = rl_tries_file_read(folder, &all);
  if (why || !path_make(path, folder, "tries")) {
    return why ? why : ENAMETOOLONG;
  }
  rl_tries_sum(&all, more);
  rl_tries_write(&all, &text);
  return rl_file_replace(path, (RlSlice){words, text.used}, NULL);
}

/* One at a time, whichever window and host: the lock is on a file of its own, for the file itself
   is replaced. */
int
rl_tries_file_add(const char *const folder, const RlTries *const more)
{
  char lock_path[RL_PATH_SIZE];
  if (!path_make(lock_path, folder, "tries.lock")) {
    return ENAMETOOLONG;
  }
  int       why  = rl_folders_make(folder);
  const int lock = why ? -1 : open(lock_path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
  why            = why ? why : lock < 0 || flock(lock, LOCK_EX) ? errno : sum_write(folder, more);
  if (lock >= 0) {
    close(lock);
  }
  return why;
}

/* ---- in the background ---- */

static void
note_work(void *const data, const RlBackground *const background)
{
  RlTriesNote *const note = (RlTriesNote *)data;
  (void)background;
  note->why = rl_tries_file_add(note->folder, &note->more);
}

RlBackground *
rl_tries_note_begin(RlTriesNote *const note)
{
  return rl_file_work_begin(note_work, free, note);
}
