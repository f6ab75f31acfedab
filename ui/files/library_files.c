/* SPDX-License-Identifier: ISC */
/* The files of the library: how they are read, and one of them replaced. */
#include "ui/files/clip_lift.h"
#include "ui/files/library_build.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

enum { PATH_SIZE = 4096 };

/* ---- one file ---- */

const char *
rl_library_file_name(const RlLibrary *const l, const int file)
{
  return l->text + l->file[file].name_at;
}

RlSlice
rl_library_file_text(const RlLibrary *const l, const int file)
{
  return (RlSlice){l->text + l->file[file].at, l->file[file].length};
}

static bool
record_room(RlLibrary *const l)
{
  const int            capacity = l->files_capacity ? 2 * l->files_capacity : 64;
  RlLibraryFile *const file =
    l->files < l->files_capacity
      ? l->file
      : (RlLibraryFile *)realloc(l->file, (size_t)capacity * sizeof(RlLibraryFile));
  if (file && file != l->file) {
    l->file = file;
  }
  l->files_capacity = file && l->files == l->files_capacity ? capacity : l->files_capacity;
  return file;
}

bool
rl_library_file_begin(RlLibrary *const l, const char *const name, const bool own, const bool midi)
{
  const size_t length = strlen(name) + 1;
  if (!record_room(l) || !rl_library_grow(l, length)) {
    rl_library_problem(l, name, rl_library_no_memory);
    return false;
  }
  memcpy(l->text + l->used, name, length);
  const uint32_t at   = (uint32_t)(l->used + length);
  l->file[l->files++] = (RlLibraryFile){(uint32_t)l->used, at, 0, at, own, midi, false};
  l->used             = at;
  return true;
}

/* Turns the last `size` bytes of the text into UTF-8, if they are not: older books are in Latin-1,
   whose bytes are the first 256 characters of Unicode. The bytes there are then; 0 without memory.
 */
static size_t
utf8_make(RlLibrary *const l, const size_t size)
{
  const RlSlice all  = {l->text + l->used, size};
  ptrdiff_t     bad  = rl_slice_bad_byte(all);
  size_t        more = 0;
  for (size_t i = 0; i < size; ++i) {
    more += (unsigned char)all.at[i] >= 0x80;
  }
  if (bad < 0 || (unsigned char)all.at[bad] < 0x80) {
    return size;
  }
  if (!rl_library_grow(l, size + more)) {
    return 0;
  }
  char *const to = l->text + l->used;
  for (size_t from = size, at = size + more; from-- > 0;) {
    const unsigned char c = (unsigned char)to[from];
    if (c >= 0x80) {
      to[--at] = (char)(0x80U | (c & 0x3FU));
    }
    to[--at] = (char)(c >= 0x80 ? 0xC0U | (unsigned)c >> 6U : c);
  }
  l->file[l->files - 1].latin1 = true;
  return size + more;
}

ptrdiff_t
rl_library_file_bytes(const bool latin1, const RlSlice text, char *const bytes)
{
  size_t used = 0;
  for (size_t i = 0; i < text.length; ++i) {
    const unsigned char c = (unsigned char)text.at[i];
    if (!latin1 || c < 0x80) {
      bytes[used++] = (char)c;
    } else if ((c == 0xC2 || c == 0xC3) && i + 1 < text.length) {
      bytes[used++] = (char)((c & 3U) << 6U | ((unsigned char)text.at[++i] & 0x3FU));
    } else {
      return -1;
    }
  }
  return (ptrdiff_t)used;
}

void
rl_library_file_end(RlLibrary *const l, const char *const name, const size_t bytes)
{
  const int    file = l->files - 1;
  const bool   midi = l->file[file].midi;
  const size_t used = midi ? bytes : utf8_make(l, bytes);
  if (bytes && !used) {
    rl_library_problem(l, name, rl_library_no_memory);
  }
  l->file[file].length = (uint32_t)used;
  l->used += used;
  if (midi) {
    rl_library_parts_add(l, name, rl_library_file_text(l, file));
  } else {
    rl_library_book_add(l, name, used, l->file[file].own);
  }
  l->file[file].end = (uint32_t)l->used;
}

/* ---- reading ---- */

/* Bytes of a regular file, -1 for anything else: reading a pipe could block. */
static long long
size_of(const char *const path)
{
  struct stat file;
  return !stat(path, &file) && S_ISREG(file.st_mode) ? (long long)file.st_size : -1;
}

static bool
is_midi(const char *const name)
{
  const char *const dot = strrchr(name, '.');
  return dot && (!strcasecmp(dot, ".mid") || !strcasecmp(dot, ".midi"));
}

/* A recording is listed by its name; it is heard once it is selected. */
static void
clip_add(RlLibrary *const l, const char *const name)
{
  RlLibraryPhrase *const p =
    rl_library_file_begin(l, name, true, true) ? rl_library_phrase_new(l, name) : NULL;
  if (!p) {
    return;
  }
  rl_library_name_title(name, p->title);
  p->at      = l->file[l->files - 1].at;
  p->length  = 0;
  p->own     = true;
  p->midi    = true;
  p->clip    = true;
  p->track   = 0;
  p->channel = 0;
  ++l->count;
}

static void
file_read(RlLibrary *const l, const char *const path, const bool own)
{
  const char *const slash = strrchr(path, '/');
  const char *const name  = slash ? slash + 1 : path;
  const long long   size  = size_of(path);
  FILE *const       file  = size < 0 ? NULL : fopen(path, "rb");
  if (!file) {
    rl_library_problem(l, name, "cannot be read");
    return;
  }
  if (own && rl_clip_lift_takes(name)) {
    clip_add(l, name);
    fclose(file);
    return;
  }
  const bool fits = size <= RL_LIBRARY_FILE_MAX && l->used + (size_t)size <= RL_LIBRARY_TEXT_MAX;
  if (!fits) {
    rl_library_problem(l, name, "too large; a file may have 4 MiB, the library 16");
  } else if (rl_library_file_begin(l, name, own, own && is_midi(name))) {
    if (rl_library_grow(l, (size_t)size)) {
      rl_library_file_end(l, name, fread(l->text + l->used, 1, (size_t)size, file));
    } else {
      rl_library_problem(l, name, rl_library_no_memory);
    }
  }
  fclose(file);
}

static int
is_phrases(const struct dirent *const entry)
{
  const char *const dot = strrchr(entry->d_name, '.');
  return dot && dot != entry->d_name && entry->d_name[0] != '.' &&
         (!strcasecmp(dot, ".abc") || is_midi(entry->d_name) || rl_clip_lift_takes(entry->d_name));
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
  const int       count = scandir(folder, &names, is_phrases, by_name);
  if (count < 0 && errno != ENOENT && errno != ENOTDIR) {
    rl_library_problem(l, folder, "cannot be read");
  }
  for (int i = 0; i < count; ++i) {
    char path[PATH_SIZE];
    if (snprintf(path, sizeof(path), "%s/%s", folder, names[i]->d_name) < PATH_SIZE) {
      file_read(l, path, true);
    }
    free(names[i]);
  }
  free(names);
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

/* ---- one file replaced ---- */

int
rl_library_file_find(const RlLibrary *const l, const char *const name)
{
  int i = 0;
  while (i < l->files && (!l->file[i].own || strcmp(rl_library_file_name(l, i), name) != 0)) {
    ++i;
  }
  return i < l->files ? i : -1;
}

/* Where among the files one of that name belongs. */
static int
place_of(const RlLibrary *const l, const char *const name)
{
  int i = 0;
  while (i < l->files && l->file[i].own && strcmp(rl_library_file_name(l, i), name) < 0) {
    ++i;
  }
  return i;
}

/* The first phrase of that file, or of one behind it. */
static int
first_of(const RlLibrary *const l, const int file)
{
  int i = 0;
  while (i < l->count && l->phrase[i].file < file) {
    ++i;
  }
  return i;
}

/* Text that belongs to no file any more is given up once there is as much of it as of the other. */
static void
text_pack(RlLibrary *const l)
{
  size_t used = 0;
  for (int i = 0; i < l->files; ++i) {
    used += l->file[i].end - l->file[i].name_at;
  }
  char *const text = l->used > 2 * used + (1 << 16) ? (char *)malloc(l->text_size) : NULL;
  int         next = 0;
  l->used          = text ? 0 : l->used;
  for (int i = 0; text && i < l->files; ++i) {
    RlLibraryFile *const f    = &l->file[i];
    const uint32_t       back = f->name_at - (uint32_t)l->used;
    memcpy(text + l->used, l->text + f->name_at, f->end - f->name_at);
    l->used += f->end - f->name_at;
    *f = (RlLibraryFile){f->name_at - back, f->at - back, f->length, f->end - back, f->own,
                         f->midi,           f->latin1};
    for (; next < l->count && l->phrase[next].file == i; ++next) {
      l->phrase[next].at -= back;
    }
  }
  if (text) {
    free(l->text);
    l->text = text;
  }
}

static void
phrases_reverse(RlLibraryPhrase *const phrase, int from, int to)
{
  for (; from < --to; ++from) {
    const RlLibraryPhrase one = phrase[from];
    phrase[from]              = phrase[to];
    phrase[to]                = one;
  }
}

/* The last file, and its phrases from `first` on, come to stand in that place. */
static void
last_file_to(RlLibrary *const l, const int first, const int place)
{
  const int           before = first_of(l, place);
  const RlLibraryFile file   = l->file[l->files - 1];
  memmove(&l->file[place + 1], &l->file[place],
          (size_t)(l->files - 1 - place) * sizeof(RlLibraryFile));
  l->file[place] = file;
  phrases_reverse(l->phrase, before, first);
  phrases_reverse(l->phrase, first, l->count);
  phrases_reverse(l->phrase, before, l->count);
  for (int i = before; i < l->count; ++i) {
    const bool its    = i < before + l->count - first;
    l->phrase[i].file = its ? place : l->phrase[i].file + 1;
  }
}

static void
file_remove(RlLibrary *const l, const int file)
{
  const int from = first_of(l, file);
  const int to   = first_of(l, file + 1);
  memmove(&l->phrase[from], &l->phrase[to], (size_t)(l->count - to) * sizeof(RlLibraryPhrase));
  l->count -= to - from;
  memmove(&l->file[file], &l->file[file + 1],
          (size_t)(l->files - file - 1) * sizeof(RlLibraryFile));
  --l->files;
  for (int i = from; i < l->count; ++i) {
    --l->phrase[i].file;
  }
}

bool
rl_library_file_put(RlLibrary *const l, const char *const name, const char *const text)
{
  const size_t length = text ? strlen(text) : 0;
  const int    was    = rl_library_file_find(l, name);
  const bool   latin1 = was >= 0 && l->file[was].latin1;
  const int    place  = was >= 0 ? was : place_of(l, name);
  const int    first  = l->count;
  text_pack(l);
  if (text) {
    if (!rl_library_grow(l, strlen(name) + 1 + 2 * length) ||
        !rl_library_file_begin(l, name, true, false)) {
      return false;
    }
    memcpy(l->text + l->used, text, length);
    rl_library_file_end(l, name, length);
    l->file[l->files - 1].latin1 = latin1;
    last_file_to(l, first, was >= 0 ? place + 1 : place);
  }
  if (was >= 0) {
    file_remove(l, was);
  }
  return true;
}
