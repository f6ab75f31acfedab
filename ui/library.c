#include "library.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { PATH_ROOM = 4096 };

static void
problem_set(RlLibrary *const l, const char *const where, const char *const why)
{
  RlText text = rl_text_in(l->problem, sizeof(l->problem));
  rl_text_add(&text, where);
  rl_text_add(&text, ": ");
  rl_text_add(&text, why);
}

/* ---- room ---- */

/* Makes room for `more` bytes of text; what points into it is kept as offsets. */
static bool
text_grow(RlLibrary *const l, const size_t more)
{
  size_t room = l->text_room ? l->text_room : 1 << 16;
  while (room < l->used + more) {
    room *= 2;
  }
  char *const text = room == l->text_room ? l->text : (char *)realloc(l->text, room);
  if (text) {
    l->text      = text;
    l->text_room = room;
  }
  return text;
}

static RlLibraryPhrase *
phrase_new(RlLibrary *const l)
{
  if (l->count == l->room) {
    const int              room = l->room ? 2 * l->room : 64;
    RlLibraryPhrase *const more =
      (RlLibraryPhrase *)realloc(l->phrase, (size_t)room * sizeof(RlLibraryPhrase));
    if (!more) {
      return NULL;
    }
    l->phrase = more;
    l->room   = room;
  }
  return &l->phrase[l->count];
}

/* ---- tunes ---- */

static void
tune_take(RlLibrary *const l, const char *const file, const RlSlice tune, const bool own)
{
  const RlSlice          title = rl_abc_says(tune, 'T');
  RlLibraryPhrase *const p     = l->count < RL_LIBRARY_MAX ? phrase_new(l) : NULL;
  if (!p) {
    problem_set(l, file, "more phrases than a library holds (20000); the rest is left out");
  } else if (!title.length || rl_slice_bad_byte(title) >= 0) {
    problem_set(l, file, "a phrase without a title that can be read; give it a line T:");
  } else {
    RlText text = rl_text_in(p->title, sizeof(p->title));
    rl_text_add_slice(&text, title);
    p->at     = (uint32_t)(tune.at - l->text);
    p->length = (uint32_t)tune.length;
    p->own    = own;
    ++l->count;
  }
}

/* ---- files ---- */

/* Bytes of an ordinary file, -1 for what is none: a pipe would keep the window waiting. */
static long long
size_of(const char *const path)
{
  struct stat file;
  return !stat(path, &file) && S_ISREG(file.st_mode) ? (long long)file.st_size : -1;
}

static void
file_read(RlLibrary *const l, const char *const path, const bool own)
{
  const char *const slash = strrchr(path, '/');
  const char *const name  = slash ? slash + 1 : path;
  const long long   size  = size_of(path);
  FILE *const       file  = size < 0 ? NULL : fopen(path, "rb");
  if (!file) {
    problem_set(l, name, "cannot be read");
    return;
  }
  if (size > RL_LIBRARY_FILE_MAX || l->used + (size_t)size > RL_LIBRARY_ROOM ||
      !text_grow(l, (size_t)size)) {
    problem_set(l, name, "too long; a file holds up to 4 MiB, a library 16");
    fclose(file);
    return;
  }
  const size_t got  = fread(l->text + l->used, 1, (size_t)size, file);
  RlAbcBook    book = rl_abc_book((RlSlice){l->text + l->used, got});
  fclose(file);
  l->used += got;
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    tune_take(l, name, tune, own);
  }
}

static int
is_abc(const struct dirent *const entry)
{
  const size_t length = strlen(entry->d_name);
  return length > 4 && entry->d_name[0] != '.' && !strcmp(entry->d_name + length - 4, ".abc");
}

static int
by_name(const struct dirent **const a, const struct dirent **const b)
{
  return strcmp((*a)->d_name, (*b)->d_name);
}

static void
folder_read(RlLibrary *const l, const char *const folder)
{
  struct dirent **names = NULL;
  const int       count = scandir(folder, &names, is_abc, by_name);
  if (count < 0 && errno != ENOENT && errno != ENOTDIR) {
    problem_set(l, folder, "cannot be read");
  }
  for (int i = 0; i < count; ++i) {
    char path[PATH_ROOM];
    if (snprintf(path, sizeof(path), "%s/%s", folder, names[i]->d_name) < PATH_ROOM) {
      file_read(l, path, true);
    }
    free(names[i]);
  }
  free(names);
}

void
rl_library_free(RlLibrary *const library)
{
  free(library->phrase);
  free(library->text);
  library->phrase     = NULL;
  library->text       = NULL;
  library->count      = 0;
  library->room       = 0;
  library->text_room  = 0;
  library->used       = 0;
  library->problem[0] = '\0';
}

void
rl_library_read(RlLibrary *const library, const char *const folder, const char *const book)
{
  rl_library_free(library);
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
