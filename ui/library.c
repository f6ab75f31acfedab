#include "library.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { PATH_ROOM = 4096, FILES_MAX = 512 };

static void
problem_set(RlLibrary *const l, const char *const where, const char *const why)
{
  RlText text = rl_text_in(l->problem, sizeof(l->problem));
  rl_text_add(&text, where);
  rl_text_add(&text, ": ");
  rl_text_add(&text, why);
}

/* Takes a tune whose text stands at `at`; one that does not read is left out, and that is said. */
static void
tune_take(RlLibrary *const l, const char *const file, const RlSlice tune, const int line,
          const bool own)
{
  static _Thread_local RlPhrase phrase;
  RlAbcError                    error;
  if (l->count == RL_LIBRARY_MAX) {
    problem_set(l, file, "more than 256 phrases; the rest is left out");
  } else if (!rl_abc_read(tune, &phrase, &error)) {
    char   buffer[RL_ABC_REASON_ROOM + 64];
    RlText text = rl_text_in(buffer, sizeof(buffer));
    error.line += line - 1;
    rl_abc_error_write(&error, &text);
    problem_set(l, file, buffer);
  } else if (phrase.title[0]) {
    RlLibraryPhrase *const p = &l->phrase[l->count++];
    p->at                    = (uint32_t)(tune.at - l->text);
    p->length                = (uint32_t)tune.length;
    p->own                   = own;
    memcpy(p->title, phrase.title, sizeof(p->title));
  } else {
    problem_set(l, file, "a phrase without a title; give it a line T:");
  }
}

/* A pipe would keep the window waiting. */
static bool
ordinary(const char *const path)
{
  struct stat file;
  return !stat(path, &file) && S_ISREG(file.st_mode);
}

static void
file_read(RlLibrary *const l, const char *const path, const bool own)
{
  const char *const slash = strrchr(path, '/');
  const char *const name  = slash ? slash + 1 : path;
  FILE *const       file  = ordinary(path) ? fopen(path, "rb") : NULL;
  const size_t      room  = sizeof(l->text) - l->used;
  if (!file) {
    problem_set(l, name, "cannot be read");
    return;
  }
  const size_t most = room < RL_LIBRARY_FILE_MAX + 1 ? room : RL_LIBRARY_FILE_MAX + 1;
  const size_t size = fread(l->text + l->used, 1, most, file);
  fclose(file);
  if (size == most) {
    problem_set(l, name, "too long; a library holds 256 KiB, a file 64");
    return;
  }
  RlAbcBook book = rl_abc_book((RlSlice){l->text + l->used, size});
  l->used += size;
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    tune_take(l, name, tune, book.line, own);
  }
}

static int
by_name(const void *const a, const void *const b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static bool
is_abc(const char *const name)
{
  const size_t length = strlen(name);
  return length > 4 && name[0] != '.' && !strcmp(name + length - 4, ".abc");
}

static void
folder_read(RlLibrary *const l, const char *const folder)
{
  DIR *const           all = opendir(folder);
  const struct dirent *entry;
  char                *names[FILES_MAX];
  int                  count = 0;
  if (!all) {
    if (errno != ENOENT && errno != ENOTDIR) {
      problem_set(l, folder, "cannot be read");
    }
    return;
  }
  while (count < FILES_MAX && (entry = readdir(all))) {
    names[count] = is_abc(entry->d_name) ? strdup(entry->d_name) : NULL;
    count += names[count] != NULL;
  }
  closedir(all);
  qsort(names, (size_t)count, sizeof(names[0]), by_name);
  for (int i = 0; i < count; ++i) {
    char path[PATH_ROOM];
    if (snprintf(path, sizeof(path), "%s/%s", folder, names[i]) < PATH_ROOM) {
      file_read(l, path, true);
    }
    free(names[i]);
  }
}

void
rl_library_read(RlLibrary *const library, const char *const folder, const char *const book)
{
  library->count      = 0;
  library->used       = 0;
  library->problem[0] = '\0';
  if (folder) {
    folder_read(library, folder);
  }
  if (book) {
    file_read(library, book, false);
  }
}

RlSlice
rl_library_tune(const RlLibrary *const library, const int index)
{
  const RlLibraryPhrase *const p = &library->phrase[index];
  return (RlSlice){library->text + p->at, p->length};
}
