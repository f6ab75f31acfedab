/* SPDX-License-Identifier: ISC */
#include "ui/files/library_build.h"

#include <stdlib.h>

const char rl_library_no_memory[] = "not enough memory to read it; close another program";

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
bool
rl_library_grow(RlLibrary *const l, const size_t more)
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
RlLibraryPhrase *
rl_library_phrase_new(RlLibrary *const l, const char *const file)
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
                                                  : rl_library_no_memory);
    return NULL;
  }
  l->phrase                = phrases;
  l->capacity              = capacity;
  l->phrase[l->count].left = RL_LIBRARY_UNREAD;
  l->phrase[l->count].file = l->files - 1;
  return &l->phrase[l->count];
}

/* ---- tunes ---- */

static void
tune_add(RlLibrary *const l, const char *const file, const RlSlice tune, const RlSlice raw,
         const bool own)
{
  const RlSlice          title = rl_abc_field_value(tune, 'T');
  RlLibraryPhrase *const p     = rl_library_phrase_new(l, file);
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
    p->from   = (uint32_t)(raw.at - l->text - l->file[l->files - 1].at);
    p->size   = (uint32_t)raw.length;
    p->own    = own;
    p->midi   = false;
    p->clip   = false;
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
void
rl_library_book_add(RlLibrary *const l, const char *const file, const size_t size, const bool own)
{
  const size_t from = l->used - size;
  RlAbcBook    book = rl_abc_book((RlSlice){l->text + from, size});
  RlSlice      head = rl_abc_next(&book);
  size_t       need = 1;
  for (RlSlice tune = head; tune.length; tune = rl_abc_next(&book)) {
    need += tune.length + head.length + 1;
  }
  const bool headed = head.length && !rl_slice_begins(head, "X:");
  if (headed && !rl_library_grow(l, need)) {
    rl_library_problem(l, file, rl_library_no_memory);
    return;
  }
  book = rl_abc_book((RlSlice){l->text + from, size}); /* the text may have moved */
  head = headed ? rl_abc_next(&book) : (RlSlice){NULL, 0};
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    tune_add(l, file, headed ? tune_with_head(l, head, tune) : tune, tune, own);
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

void
rl_library_free(RlLibrary *const l)
{
  free(l->phrase);
  free(l->file);
  free(l->text);
  *l = (RlLibrary){0};
}

RlSlice
rl_library_tune(const RlLibrary *const l, const int index)
{
  const RlLibraryPhrase *const p = &l->phrase[index];
  return (RlSlice){l->text + p->at, p->length};
}
