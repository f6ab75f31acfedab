/* SPDX-License-Identifier: ISC */
/* Phrases kept in the player's own folder. */
#include "ui/files/library_build.h"

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

void
rl_library_title_free(const RlLibrary *const l, char title[RL_PHRASE_TITLE_SIZE])
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

void
rl_library_file_new_name(const RlLibrary *const l, const char *const title, RlText *const name)
{
  char   first[RL_PHRASE_TITLE_SIZE + 8];
  RlText text = rl_text_in(first, sizeof(first));
  name_write(title, &text);
  rl_text_add(name, first);
  for (int n = 2; rl_library_file_find(l, name->to) >= 0; ++n) {
    name->used = 0;
    rl_text_add_int(name, n);
    rl_text_add(name, "-");
    rl_text_add(name, first);
  }
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

/* The path of the file of that name, or of the nth that has it. False if it is too long. */
static bool
path_write(const char *const folder, const char *const name, const int n, char *const path)
{
  const int used = n == 1 ? snprintf(path, PATH_SIZE, "%s/%s", folder, name)
                          : snprintf(path, PATH_SIZE, "%s/%d-%s", folder, n, name);
  return used < PATH_SIZE;
}

enum { FILES_MAX = 1000 }; /* of one name */

/* A new file; none that is there is written over. */
static FILE *
file_new(const char *const folder, const char *const name, char *const path)
{
  for (int n = 1; n < FILES_MAX; ++n) {
    FILE *const file = path_write(folder, name, n, path) ? fopen(path, "wx") : NULL;
    if (file || errno != EEXIST) {
      return file;
    }
  }
  return NULL;
}

/* Has the file these bytes and no others? */
static bool
file_holds(const char *const path, const char *const text, char *const scratch)
{
  FILE *const file = fopen(path, "r");
  const bool  same = file && fread(scratch, 1, RL_ABC_MAX, file) == strlen(text) &&
                    !memcmp(scratch, text, strlen(text));
  if (file) {
    fclose(file);
  }
  return same;
}

/* Removes the file that a phrase was kept in, if it still holds just that. */
static void
file_remove(RlLibrary *const l, const char *const folder, const char *const name,
            const char *const text, char *const scratch)
{
  char path[PATH_SIZE];
  bool there = true;
  for (int n = 1; n < FILES_MAX && there; ++n) {
    struct stat seen;
    there = path_write(folder, name, n, path) && !lstat(path, &seen);
    if (there && S_ISREG(seen.st_mode) && file_holds(path, text, scratch)) {
      remove(path);
      rl_library_file_put(l, strrchr(path, '/') + 1, NULL);
      return;
    }
  }
}

/* A phrase as text, and the name of its file. */
typedef struct {
  char   name[RL_PHRASE_TITLE_SIZE + 8], abc[RL_ABC_MAX];
  size_t length;
} Written;

static void
written_make(Written *const w, const RlPhrase *const phrase)
{
  RlText name = rl_text_in(w->name, sizeof(w->name));
  RlText abc  = rl_text_in(w->abc, sizeof(w->abc));
  name_write(phrase->title, &name);
  rl_abc_write(phrase, &abc);
  w->length = abc.used;
}

static bool
written_keep(RlLibrary *const l, const char *const folder, const Written *const w)
{
  char        path[PATH_SIZE];
  FILE *const file    = folder && folder_make(folder) ? file_new(folder, w->name, path) : NULL;
  const bool  written = file && fwrite(w->abc, 1, w->length, file) == w->length;
  const bool  kept    = (!file || !fclose(file)) && written;
  if (!kept) {
    rl_library_problem(l, folder ? folder : "phrases",
                       folder ? strerror(errno)
                              : "there is no folder for them; set HOME or XDG_DATA_HOME");
    if (file) {
      remove(path); /* no half-written phrase stays */
    }
  }
  return kept && rl_library_file_put(l, strrchr(path, '/') + 1, w->abc);
}

static void
no_memory(RlLibrary *const l)
{
  rl_library_problem(l, "phrases",
                     "not enough memory to keep it; close another program and do it again");
}

bool
rl_library_keep(RlLibrary *const l, const char *const folder, RlPhrase *const phrase)
{
  Written *const w    = (Written *)malloc(sizeof(Written));
  bool           kept = false;
  if (w) {
    rl_library_title_free(l, phrase->title);
    written_make(w, phrase);
    kept = written_keep(l, folder, w);
  } else {
    no_memory(l);
  }
  free(w);
  return kept;
}

bool
rl_library_rename(RlLibrary *const l, const char *const folder, RlPhrase *const phrase,
                  const char *const title)
{
  Written *const w       = (Written *)malloc(2 * sizeof(Written));
  bool           renamed = false;
  if (w) {
    written_make(&w[0], phrase);
    RlText text = rl_text_in(phrase->title, sizeof(phrase->title));
    rl_text_add(&text, title);
    written_make(&w[1], phrase);
    renamed = written_keep(l, folder, &w[1]);
  } else {
    no_memory(l);
  }
  if (renamed) {
    file_remove(l, folder, w[0].name, w[0].abc, w[1].abc);
  }
  free(w);
  return renamed;
}

bool
rl_library_has(const RlLibrary *const l, const char *const title)
{
  return title_known(l, title);
}
