/* SPDX-License-Identifier: ISC */
#include "core/phrase/sure.h"

#include "core/text/text.h"

#include <string.h>

static const char mark[] = "N:sure";

/* ---- the line ---- */

/* The line in the fields, its newline included; empty if there is none. */
static RlSlice
line_find(const RlPhrase *const p)
{
  RlSlice rest = rl_slice(p->fields);
  while (rest.length) {
    const size_t  to   = rl_slice_until(rest, "\n");
    const RlSlice line = {rest.at, to < rest.length ? to + 1 : to};
    if (rl_slice_begins(line, mark) && line.length > sizeof(mark) - 1 &&
        strchr(" \t\n", line.at[sizeof(mark) - 1])) {
      return line;
    }
    rest = rl_slice_after(rest, line.length);
  }
  return rest;
}

/* `1`, or two digits behind a point; -1 if it is neither. */
static int
number_read(const RlSlice word)
{
  if (rl_slice_is(word, "1")) {
    return RL_SURE_WHOLE;
  }
  return word.length == 3 && word.at[0] == '.' ? rl_slice_number(rl_slice_after(word, 1)) : -1;
}

/* ---- the face ---- */

bool
rl_phrase_sure_read(const RlPhrase *const p, uint8_t sure[RL_PHRASE_NOTES_MAX])
{
  const RlSlice line = line_find(p);
  RlSlice       rest = line.length ? rl_slice_trim(rl_slice_after(line, sizeof(mark) - 1)) : line;
  int           n    = 0;
  for (; rest.length && rest.at[0] != '\n'; ++n) {
    const RlSlice word   = {rest.at, rl_slice_until(rest, " \t\n")};
    const int     number = number_read(word);
    if (number < 0 || n == p->notes) {
      return false;
    }
    sure[n] = (uint8_t)number;
    rest    = rl_slice_trim(rl_slice_after(rest, word.length));
  }
  return n > 0 && n == p->notes;
}

/* All of them: a hand may have written two. */
static void
lines_drop(RlPhrase *const p)
{
  for (RlSlice line = line_find(p); line.length; line = line_find(p)) {
    char *const at = p->fields + (line.at - p->fields);
    memmove(at, at + line.length, strlen(at + line.length) + 1);
  }
}

static size_t
line_length(const uint8_t *const sure, const int notes)
{
  size_t length = sizeof(mark) - 1 + 1;
  for (int i = 0; i < notes; ++i) {
    length += sure[i] >= RL_SURE_WHOLE ? 2 : 4;
  }
  return length;
}

void
rl_phrase_sure_write(RlPhrase *const p, const uint8_t *const sure)
{
  lines_drop(p);
  const size_t used = strlen(p->fields);
  RlText       text = {p->fields + used, RL_PHRASE_FIELDS_SIZE - used, 0};
  if (!sure || used + line_length(sure, p->notes) >= RL_PHRASE_FIELDS_SIZE) {
    return;
  }
  rl_text_add(&text, mark);
  for (int i = 0; i < p->notes; ++i) {
    const char digits[] = {' ', '.', (char)('0' + sure[i] / 10), (char)('0' + sure[i] % 10), '\0'};
    rl_text_add(&text, sure[i] >= RL_SURE_WHOLE ? " 1" : digits);
  }
  rl_text_add(&text, "\n");
}
