/* SPDX-License-Identifier: ISC */
#include "ui/model/text_input.h"

#include <assert.h>
#include <string.h>

static bool
continues(const char byte)
{
  return ((unsigned char)byte & 0xC0) == 0x80;
}

void
rl_text_input_begin(RlTextInput *const t, const RlSlice text, const bool lines)
{
  RlText out = rl_text_in(t->text, sizeof(t->text));
  rl_text_add_slice(&out, text);
  t->length = out.used;
  t->caret  = out.used;
  t->lines  = lines;
  t->all    = false;
}

void
rl_text_input_select(RlTextInput *const t)
{
  t->all = t->length > 0;
}

static size_t
before(const RlTextInput *const t, size_t at)
{
  do {
    at -= at > 0;
  } while (at > 0 && continues(t->text[at]));
  return at;
}

static size_t
after(const RlTextInput *const t, size_t at)
{
  do {
    at += at < t->length;
  } while (at < t->length && continues(t->text[at]));
  return at;
}

static void
cut(RlTextInput *const t, const size_t from, const size_t to)
{
  memmove(t->text + from, t->text + to, t->length - to + 1);
  t->length -= to - from;
  t->caret = from;
}

/* Removes everything if it is selected; true if it was. */
static bool
cut_selected(RlTextInput *const t)
{
  const bool all = t->all;
  if (all) {
    t->all = false;
    cut(t, 0, t->length);
  }
  return all;
}

/* UTF-8 of one character (RFC 3629); returns its bytes. */
static size_t
encode(const unsigned c, char bytes[4])
{
  const size_t   n      = c < 0x80 ? 1 : c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
  const unsigned lead[] = {0, 0, 0xC0, 0xE0, 0xF0};
  for (size_t i = 0; i < n; ++i) {
    const unsigned part = c >> 6 * (n - 1 - i);
    bytes[i]            = (char)(n == 1 ? part : i ? 0x80 | (part & 0x3F) : lead[n] | part);
  }
  return n;
}

/* Surrogates of UTF-16 are no characters (RFC 3629). */
static bool
is_surrogate(const unsigned character)
{
  return character >= 0xD800 && character < 0xE000;
}

static void
insert(RlTextInput *const t, const unsigned character)
{
  char         bytes[4];
  const size_t n = encode(character, bytes);
  cut_selected(t);
  if (t->length + n < sizeof(t->text) && !is_surrogate(character)) {
    memmove(t->text + t->caret + n, t->text + t->caret, t->length - t->caret + 1);
    memcpy(t->text + t->caret, bytes, n);
    t->length += n;
    t->caret += n;
  }
}

static size_t
line_begin(const RlTextInput *const t, size_t at)
{
  while (at > 0 && t->text[at - 1] != '\n') {
    --at;
  }
  return at;
}

static size_t
line_end(const RlTextInput *const t, size_t at)
{
  while (at < t->length && t->text[at] != '\n') {
    ++at;
  }
  return at;
}

size_t
rl_text_input_line(const RlTextInput *const t, size_t *const in_line)
{
  size_t line = 0;
  for (size_t i = 0; i < t->caret; ++i) {
    line += t->text[i] == '\n';
  }
  *in_line = t->caret - line_begin(t, t->caret);
  return line;
}

size_t
rl_text_input_lines(const RlTextInput *const t)
{
  size_t lines = 1;
  for (size_t i = 0; i < t->length; ++i) {
    lines += t->text[i] == '\n';
  }
  return lines;
}

/* The byte at which a line begins; the end of the text for a line past the last. */
static size_t
offset_of(const RlTextInput *const t, size_t line)
{
  size_t at = 0;
  for (; line > 0 && at < t->length; --line) {
    at = line_end(t, at);
    at += at < t->length;
  }
  return line ? t->length : at;
}

RlSlice
rl_text_input_at(const RlTextInput *const t, const size_t line)
{
  const size_t at = offset_of(t, line);
  return line < rl_text_input_lines(t) ? (RlSlice){t->text + at, line_end(t, at) - at}
                                       : (RlSlice){t->text + t->length, 0};
}

void
rl_text_input_put(RlTextInput *const t, const size_t line, const size_t in_line)
{
  const size_t at  = offset_of(t, line);
  const size_t end = line_end(t, at);
  t->all           = false;
  t->caret         = at + in_line < end ? at + in_line : end;
  while (t->caret > at && t->caret < t->length && continues(t->text[t->caret])) {
    --t->caret;
  }
}

static bool
move_lines(RlTextInput *const t, const long lines)
{
  size_t     in_line;
  const long line = (long)rl_text_input_line(t, &in_line) + lines;
  if (t->lines) {
    rl_text_input_put(t, line < 0 ? 0 : (size_t)line, line < 0 ? 0 : in_line);
  }
  return t->lines;
}

static bool
move_key(RlTextInput *const t, const int key)
{
  enum { PAGE = 12 };
  switch (key) {
  case RL_KEY_LEFT:
    t->caret = t->all ? 0 : before(t, t->caret);
    return true;
  case RL_KEY_RIGHT:
    t->caret = after(t, t->caret);
    return true;
  case RL_KEY_HOME:
    t->caret = line_begin(t, t->caret);
    return true;
  case RL_KEY_END:
    t->caret = line_end(t, t->caret);
    return true;
  case RL_KEY_UP:
    return move_lines(t, -1);
  case RL_KEY_DOWN:
    return move_lines(t, 1);
  case RL_KEY_PAGE_UP:
    return move_lines(t, -PAGE);
  case RL_KEY_PAGE_DOWN:
    return move_lines(t, PAGE);
  default:
    return false;
  }
}

bool
rl_text_input_key(RlTextInput *const t, const RlInput *const input)
{
  assert(t->caret <= t->length && t->length < sizeof(t->text));
  const int key = input->key;
  if ((key == 'a' || key == 'A') && input->control && !input->alt) {
    rl_text_input_select(t);
  } else if (key == RL_KEY_BACKSPACE) {
    if (!cut_selected(t)) {
      cut(t, before(t, t->caret), t->caret);
    }
  } else if (key == RL_KEY_DELETE) {
    const size_t from = t->caret;
    if (!cut_selected(t)) {
      cut(t, from, after(t, from));
    }
  } else if (key == RL_KEY_ENTER && t->lines) {
    insert(t, '\n');
  } else if (key >= ' ' && key != 0x7F && key < RL_KEY_ENTER && !input->control && !input->alt) {
    insert(t, (unsigned)key);
  } else if (move_key(t, key)) {
    t->all = false;
  } else {
    return false;
  }
  return true;
}
