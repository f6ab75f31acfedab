/* SPDX-License-Identifier: ISC */
#include "ui/model/library.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

enum { PATH_SIZE = 4096 };

static const char no_memory[] = "not enough memory to read it; close another program";

void
rl_library_problem(RlLibrary *const l, const char *const where, const char *const why)
{
  RlText text = rl_text_in(l->problem, sizeof(l->problem));
  rl_text_add(&text, where);
  rl_text_add(&text, ": ");
  rl_text_add(&text, why);
}

/* ---- memory ---- */

/* Makes room for `more` bytes of text. The text may move: phrases keep offsets into it. */
static bool
text_grow(RlLibrary *const l, const size_t more)
{
  size_t size = l->text_size ? l->text_size : 1 << 16;
  while (size < l->used + more) {
    size *= 2;
  }
  char *const text = size == l->text_size ? l->text : (char *)realloc(l->text, size);
  if (text) {
    l->text      = text;
    l->text_size = size;
  }
  return text;
}

/* The next phrase, not counted yet; NULL if there is no memory or the library is full, which is
   reported. */
static RlLibraryPhrase *
phrase_new(RlLibrary *const l, const char *const file)
{
  const bool             fits     = l->count < l->capacity;
  const int              capacity = fits ? l->capacity : l->capacity ? 2 * l->capacity : 64;
  RlLibraryPhrase *const phrases =
    l->count == RL_LIBRARY_MAX ? NULL
    : fits                     ? l->phrase
           : (RlLibraryPhrase *)realloc(l->phrase, (size_t)capacity * sizeof(RlLibraryPhrase));
  if (!phrases) {
    rl_library_problem(l, file,
                       l->count == RL_LIBRARY_MAX ? "more than 20000 phrases; the rest is left out"
                                                  : no_memory);
    return NULL;
  }
  l->phrase                = phrases;
  l->capacity              = capacity;
  l->phrase[l->count].left = RL_LIBRARY_UNREAD;
  return &l->phrase[l->count];
}

/* ---- tunes ---- */

static void
tune_add(RlLibrary *const l, const char *const file, const RlSlice tune, const bool own)
{
  const RlSlice          title = rl_abc_field_value(tune, 'T');
  RlLibraryPhrase *const p     = phrase_new(l, file);
  if (!p) {
    return;
  }
  if (!title.length || rl_slice_bad_byte(title) >= 0) {
    rl_library_problem(l, file, "a phrase without a title that can be read; give it a line T:");
  } else {
    RlText text = rl_text_in(p->title, sizeof(p->title));
    rl_text_add_slice(&text, title);
    p->at     = (uint32_t)(tune.at - l->text);
    p->length = (uint32_t)tune.length;
    p->own    = own;
    p->midi   = false;
    ++l->count;
  }
}

/* The tune with the meter and the unit that stand at the head of its book, where it has none; it is
   written behind all text, for which there is room. */
static RlSlice
tune_with_head(RlLibrary *const l, RlSlice head, const RlSlice tune)
{
  const size_t first = rl_slice_until(tune, "\n") + 1;
  RlText       text  = {l->text + l->used, l->text_size - l->used, 0};
  rl_text_add_slice(&text, (RlSlice){tune.at, first < tune.length ? first : tune.length});
  while (head.length) {
    const RlSlice line = {head.at, rl_slice_until(head, "\n")};
    const bool    rule = rl_slice_begins(line, "M:") || rl_slice_begins(line, "L:");
    if (rule && !rl_abc_field_value(tune, line.at[0]).length) {
      rl_text_add_slice(&text, line);
      rl_text_add(&text, "\n");
    }
    head = rl_slice_after(head, line.length + 1);
  }
  rl_text_add_slice(&text, rl_slice_after(tune, first));
  const RlSlice whole = {l->text + l->used, text.used};
  l->used += text.used;
  return whole;
}

/* The tunes of the last `size` bytes of the text. */
static void
book_add(RlLibrary *const l, const char *const file, const size_t size, const bool own)
{
  const size_t from = l->used - size;
  RlAbcBook    book = rl_abc_book((RlSlice){l->text + from, size});
  RlSlice      head = rl_abc_next(&book);
  size_t       need = 1;
  for (RlSlice tune = head; tune.length; tune = rl_abc_next(&book)) {
    need += tune.length + head.length + 1;
  }
  const bool headed = head.length && !rl_slice_begins(head, "X:");
  if (headed && !text_grow(l, need)) {
    rl_library_problem(l, file, no_memory);
    return;
  }
  book = rl_abc_book((RlSlice){l->text + from, size}); /* the text may have moved */
  head = headed ? rl_abc_next(&book) : (RlSlice){NULL, 0};
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    tune_add(l, file, headed ? tune_with_head(l, head, tune) : tune, own);
  }
}

/* ---- MIDI ---- */

/* Appends words that may stand in a title: without commas, which end a title in a plan, and without
   signs that have a meaning in ABC. */
static void
words_add(RlText *const text, const RlSlice words)
{
  if (rl_slice_bad_byte(words) >= 0) {
    rl_text_add(text, "MIDI");
    return;
  }
  for (size_t i = 0; i < words.length; ++i) {
    const char c = words.at[i];
    rl_text_add_slice(text, strchr(",%\\\t\r\n", c) ? rl_slice(" ") : (RlSlice){words.at + i, 1});
  }
}

/* The parts of a file, and what they are called. */
typedef struct {
  RlSmfPart part[RL_SMF_PARTS_MAX];
  char      title[RL_SMF_PARTS_MAX][RL_PHRASE_TITLE_SIZE];
  int       count;
} Parts;

/* The file's name without its extension; for one of several parts, with its track's name or
   channel, and with `numbers` with its track and channel. These are never cut. */
static void
part_title(const char *const file, const RlSmfPart *const part, const bool alone,
           const bool numbers, RlText *const text)
{
  const char *const dot   = strrchr(file, '.');
  const bool        named = !alone && part->name.length > 0;
  char              end[sizeof(" track 128 channel 16")];
  RlText            last = rl_text_in(end, sizeof(end));
  if (numbers) {
    rl_text_add(&last, named ? " track " : "track ");
    rl_text_add_int(&last, part->track + 1);
    rl_text_add(&last, " ");
  }
  if (!alone && (numbers || !named)) {
    rl_text_add(&last, "channel ");
    rl_text_add_int(&last, part->channel + 1);
  }
  RlText first = rl_text_in(text->to, text->size - last.used - (alone || named ? 0 : 3));
  words_add(&first, rl_slice_trim((RlSlice){file, (size_t)(dot - file)}));
  if (named) {
    rl_text_add(&first, " - ");
    words_add(&first, rl_slice_trim(part->name));
  }
  text->used = first.used;
  rl_text_add(text, alone || named ? "" : " - ");
  rl_text_add(text, end);
}

/* Parts that would have one title are told apart by track and channel. */
static void
titles_write(const char *const file, Parts *const parts)
{
  bool numbers[RL_SMF_PARTS_MAX] = {false};
  for (int pass = 0; pass < 2; ++pass) {
    for (int i = 0; i < parts->count; ++i) {
      RlText title = rl_text_in(parts->title[i], sizeof(parts->title[i]));
      part_title(file, &parts->part[i], parts->count == 1, numbers[i], &title);
    }
    for (int i = 0; i < parts->count; ++i) {
      for (int k = 0; k < parts->count; ++k) {
        numbers[i] = numbers[i] || (i != k && !strcmp(parts->title[i], parts->title[k]));
      }
    }
  }
}

static void
parts_judge(RlLibrary *const l, const char *const file, const int count,
            const RlSmfError *const error)
{
  char   why[160];
  RlText text = rl_text_in(why, sizeof(why));
  if (count < 0) {
    rl_smf_error_write(error, &text);
  } else if (!count) {
    rl_text_add(&text, "no notes in it");
  } else if (count > RL_SMF_PARTS_MAX) {
    rl_text_add_int(&text, count);
    rl_text_add(&text, " parts; the last ");
    rl_text_add_int(&text, count - RL_SMF_PARTS_MAX);
    rl_text_add(&text, " are left out; export fewer to one file");
  }
  if (text.used) {
    rl_library_problem(l, file, why);
  }
}

static void
parts_add(RlLibrary *const l, const char *const file, const RlSlice bytes)
{
  Parts      parts;
  RlSmfError error;
  const int  count = rl_smf_parts(bytes, parts.part, &error);
  parts.count      = count < RL_SMF_PARTS_MAX ? count : RL_SMF_PARTS_MAX;
  parts_judge(l, file, count, &error);
  titles_write(file, &parts);
  for (int i = 0; i < parts.count; ++i) {
    RlLibraryPhrase *const p = phrase_new(l, file);
    if (!p) {
      return;
    }
    memcpy(p->title, parts.title[i], sizeof(p->title));
    p->at      = (uint32_t)(bytes.at - l->text);
    p->length  = (uint32_t)bytes.length;
    p->own     = true;
    p->midi    = true;
    p->track   = parts.part[i].track;
    p->channel = parts.part[i].channel;
    ++l->count;
  }
}

void
rl_library_look(RlLibrary *const l, const int index, RlPhrase *const scratch)
{
  RlLibraryPhrase *const p = &l->phrase[index];
  RlAbcLeftOut           left;
  RlAbcError             error;
  if (p->left == RL_LIBRARY_UNREAD && p->midi) {
    p->left = 0;
  } else if (p->left == RL_LIBRARY_UNREAD) {
    p->left = rl_abc_read_counting(rl_library_tune(l, index), scratch, &left, &error)
                ? rl_abc_left_things(&left)
                : RL_LIBRARY_WRONG;
  }
}

bool
rl_library_midi(const RlLibrary *const l, const int index, const RlForm *const form,
                const RlKey key, RlPhrase *const phrase, int *const bar, RlText *const why)
{
  const RlLibraryPhrase *const p     = &l->phrase[index];
  RlSmfWorkspace *const        work  = (RlSmfWorkspace *)malloc(sizeof(RlSmfWorkspace));
  RlSmfError                   error = {0, "not enough memory; close another program"};
  const RlSmfPart              part  = {p->track, p->channel, {"", 0}};
  const bool good = work && rl_smf_phrase(rl_library_tune(l, index), part, form, key, work, &error);
  if (good) {
    *phrase = work->notated.phrase;
    *bar    = work->notated.bar;
    memcpy(phrase->title, p->title, sizeof(phrase->title));
    RlText says = rl_text_in(phrase->fields, sizeof(phrase->fields));
    rl_text_add(&says, "N:");
    rl_notated_say(&work->notated, &says);
    rl_text_add(&says, "\n");
  } else {
    rl_text_add(why, p->title);
    rl_text_add(why, ": ");
    rl_smf_error_write(&error, why);
  }
  free(work);
  return good;
}

/* ---- files ---- */

/* Bytes of a regular file, -1 for anything else: reading a pipe could block the window. */
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
  if (!text_grow(l, size + more)) {
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
  return size + more;
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
  const bool fits = size <= RL_LIBRARY_FILE_MAX && l->used + (size_t)size <= RL_LIBRARY_TEXT_MAX;
  if (!fits || !text_grow(l, (size_t)size)) {
    rl_library_problem(l, name,
                       fits ? no_memory : "too large; a file may have 4 MiB, the library 16");
    fclose(file);
    return;
  }
  const bool    midi = own && is_midi(name);
  const size_t  got  = fread(l->text + l->used, 1, (size_t)size, file);
  const size_t  used = midi ? got : utf8_make(l, got);
  const RlSlice all  = {l->text + l->used, used};
  fclose(file);
  l->used += used;
  if (got && !used) {
    rl_library_problem(l, name, no_memory);
  }
  if (midi) {
    parts_add(l, name, all);
    return;
  }
  book_add(l, name, used, own);
}

static int
is_phrases(const struct dirent *const entry)
{
  const char *const dot = strrchr(entry->d_name, '.');
  return dot && dot != entry->d_name && entry->d_name[0] != '.' &&
         (!strcasecmp(dot, ".abc") || is_midi(entry->d_name));
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
rl_library_free(RlLibrary *const library)
{
  free(library->phrase);
  free(library->text);
  library->phrase     = NULL;
  library->text       = NULL;
  library->count      = 0;
  library->capacity   = 0;
  library->text_size  = 0;
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
