/* SPDX-License-Identifier: ISC */
/* Phrases kept in the player's own folder. */
#include "ui/model/library.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { PATH_SIZE = 4096 };

static bool
title_known(const RlLibrary *const l, const char *const title)
{
  for (int i = 0; i < l->count; ++i) {
    if (!strcmp(l->phrase[i].title, title)) {
      return true;
    }
  }
  return false;
}

/* Makes the title unique: `Take 1` becomes `Take 2`, `Lantern` becomes `Lantern 2`. */
static void
title_free(const RlLibrary *const l, char *const title)
{
  size_t stem   = strlen(title);
  int    number = 2;
  while (stem > 0 && title[stem - 1] >= '0' && title[stem - 1] <= '9') {
    --stem;
  }
  stem = stem > 0 && title[stem - 1] == ' ' ? stem - 1 : strlen(title);
  for (; title_known(l, title) && number < RL_LIBRARY_MAX; ++number) {
    char   last[8];
    RlText end = rl_text_in(last, sizeof(last));
    rl_text_add(&end, " ");
    rl_text_add_int(&end, number);
    stem = stem + end.used < RL_PHRASE_TITLE_SIZE ? stem : RL_PHRASE_TITLE_SIZE - 1 - end.used;
    while (stem > 0 && ((unsigned char)title[stem] & 0xC0U) == 0x80) {
      --stem; /* not within a character */
    }
    RlText text = rl_text_in(title + stem, RL_PHRASE_TITLE_SIZE - stem);
    rl_text_add(&text, last);
  }
}

/* A file's name from the letters and digits of a title. */
static void
name_write(const char *const title, RlText *const text)
{
  for (const char *c = title; *c; ++c) {
    const bool figure = *c >= '0' && *c <= '9';
    const bool upper  = *c >= 'A' && *c <= 'Z';
    const char kept[] = {upper ? (char)(*c + 'a' - 'A') : *c, '\0'};
    rl_text_add(text, figure || upper || (*c >= 'a' && *c <= 'z') ? kept : "-");
  }
  rl_text_add(text, ".abc");
}

/* Makes a folder and those above it. */
static bool
folder_make(const char *const folder)
{
  char path[PATH_SIZE];
  if (snprintf(path, sizeof(path), "%s/", folder) >= PATH_SIZE) {
    return false;
  }
  for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
    *slash = '\0';
    if (mkdir(path, 0777) && errno != EEXIST) {
      return false;
    }
    *slash = '/';
  }
  return true;
}

/* A new file; none that is there is written over. */
static FILE *
file_new(const char *const folder, const char *const name, char *const path)
{
  for (int n = 1; n < 1000; ++n) {
    const int   used = n == 1 ? snprintf(path, PATH_SIZE, "%s/%s", folder, name)
                              : snprintf(path, PATH_SIZE, "%s/%d-%s", folder, n, name);
    FILE *const file = used < PATH_SIZE ? fopen(path, "wx") : NULL;
    if (file || errno != EEXIST) {
      return file;
    }
  }
  return NULL;
}

bool
rl_library_keep(RlLibrary *const l, const char *const folder, RlPhrase *const phrase)
{
  char        path[PATH_SIZE], name[RL_PHRASE_TITLE_SIZE + 8];
  RlText      file_name = rl_text_in(name, sizeof(name));
  char *const abc       = (char *)malloc(RL_ABC_MAX);
  if (!abc) {
    rl_library_problem(l, "phrases",
                       "not enough memory to keep it; close another program and do it again");
    return false;
  }
  RlText text = rl_text_in(abc, RL_ABC_MAX);
  title_free(l, phrase->title);
  name_write(phrase->title, &file_name);
  rl_abc_write(phrase, &text);
  FILE *const file    = folder && folder_make(folder) ? file_new(folder, name, path) : NULL;
  const bool  written = file && fwrite(abc, 1, text.used, file) == text.used;
  const bool  kept    = (!file || !fclose(file)) && written;
  if (!kept) {
    rl_library_problem(l, folder ? folder : "phrases",
                       folder ? strerror(errno)
                              : "there is no folder for them; set HOME or XDG_DATA_HOME");
    if (file) {
      remove(path); /* no half-written phrase stays */
    }
  }
  free(abc);
  return kept;
}
