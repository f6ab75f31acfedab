/* SPDX-License-Identifier: ISC */
#include "plugin/worker/chart_file.h"

#include "core/chart/chart.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

static bool
may_wait(const char *const path)
{
  struct stat file;
  return !stat(path, &file) && !S_ISREG(file.st_mode) && !S_ISDIR(file.st_mode);
}

const char *
rl_chart_file_read(const char *const path, char *const text, size_t *const length)
{
  if (may_wait(path)) {
    return "not a regular file";
  }
  FILE *const file = fopen(path, "rb");
  if (!file) {
    return strerror(errno);
  }
  *length           = fread(text, 1, RL_CHART_MAX + 1, file);
  const int problem = ferror(file) ? errno : 0;
  fclose(file);
  return problem ? strerror(problem) : NULL;
}
