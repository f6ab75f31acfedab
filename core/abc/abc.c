/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <assert.h>
#include <string.h>

_Static_assert((int64_t)RL_ABC_BARS_MAX * 32 * RL_ABC_WHOLE_TICKS <= INT32_MAX &&
                 RL_ABC_BARS_MAX * 32 * RL_ABC_WHOLE_TICKS <= RL_ABC_TICKS_MAX,
               "the longest tune, all bars of 32/1, is counted in 32 bits");

/* ---- places and errors ---- */

static bool
continues(const char byte)
{
  return ((unsigned char)byte & 0xC0U) == 0x80U;
}

RlAbcMark
rl_abc_mark(const RlAbcReader *const r, const char *const at)
{
  RlAbcMark mark = {r->line, 1};
  for (const char *c = r->line_at; c < at; ++c) {
    mark.column += !continues(*c);
  }
  return mark;
}

int
rl_abc_digits(RlSlice *const rest)
{
  int64_t number = -1;
  while (rest->length && rest->at[0] >= '0' && rest->at[0] <= '9') {
    number = (number < 0 ? 0 : number * 10) + (rest->at[0] - '0');
    number = number < RL_ABC_NUMBER_MAX ? number : RL_ABC_NUMBER_MAX;
    *rest  = rl_slice_after(*rest, 1);
  }
  return number < RL_ABC_NUMBER_MAX ? (int)number : -1;
}

RlSlice
rl_abc_character(const RlSlice slice)
{
  size_t n = 1;
  while (n < slice.length && continues(slice.at[n])) {
    ++n;
  }
  return (RlSlice){slice.at, n};
}

/* ---- lines ---- */

/* The first line of `rest`, as it is; `rest` goes on behind it. */
static RlSlice
line_next(RlSlice *const rest)
{
  const RlSlice line = {rest->at, rl_slice_until(*rest, "\n")};
  *rest              = rl_slice_after(*rest, line.length + 1);
  return line;
}

static bool
blank(const RlSlice line)
{
  return !rl_slice_trim(line).length;
}

/* The line without its comment and blanks at the end. */
static RlSlice
content(RlSlice line)
{
  size_t n = rl_slice_until(line, "%");
  while (n > 0 && n < line.length && line.at[n - 1] == '\\') {
    n += 1 + rl_slice_until(rl_slice_after(line, n + 1), "%");
  }
  line.length           = n < line.length ? n : line.length;
  const RlSlice trimmed = rl_slice_trim(line);
  return trimmed.length ? (RlSlice){line.at, (size_t)(trimmed.at - line.at) + trimmed.length}
                        : (RlSlice){line.at, 0};
}

static bool
blank_line(RlAbcReader *const r)
{
  if (r->seen && !r->in_body) {
    return rl_abc_fail(
      r, rl_abc_mark(r, r->line_at),
      "a blank line ends the tune, and there is no K: yet; take the line out, or begin it with %");
  }
  r->ended = r->in_body;
  return true;
}

static bool
line_read(RlAbcReader *const r, const RlSlice line)
{
  const RlAbcMark mark = rl_abc_mark(r, line.at);
  const RlSlice   text = content(line);
  if (r->jump.at) {
    const size_t read = (size_t)(r->jump.at - line.at);
    r->jump.at        = NULL;
    return rl_abc_music(r, rl_slice_after(text, read < text.length ? read : text.length));
  }
  if (blank(line)) {
    return blank_line(r);
  }
  if (rl_slice_begins(line, "%%") || r->free_text) {
    r->free_text =
      r->free_text ? !rl_slice_begins(line, "%%end") : rl_slice_begins(line, "%%begin");
    rl_abc_left(r, RL_ABC_LINES, line.at);
    return true;
  }
  if (!text.length) {
    return true;
  }
  if (r->ended) {
    return rl_abc_fail(
      r, mark,
      "a blank line has ended the tune; take it out, or read one tune of the book at a time");
  }
  return r->in_body && !rl_abc_is_field(text) ? rl_abc_music(r, text) : rl_abc_field(r, text);
}

static bool
each_line(RlAbcReader *const r)
{
  RlSlice rest = r->text;
  do {
    const RlSlice line = line_next(&rest);
    r->line_at         = line.at;
    ++r->line;
    if (!line_read(r, line)) {
      return false;
    }
    if (!rest.length && !r->jump.at && r->in_body) {
      rl_abc_part_next(r);
    }
    if (r->jump.at) {
      rest    = rl_slice_after(r->text, (size_t)(r->jump.line_at - r->text.at));
      r->line = r->jump.line - 1;
    }
  } while (rest.length && !r->done);
  return true;
}

/* ---- the whole ---- */

static bool
text_fits(RlAbcReader *const r, const RlSlice text)
{
  if (text.length > RL_ABC_MAX) {
    return rl_abc_fail(r, (RlAbcMark){1, 1},
                       "the tune is longer than 65536 bytes; a phrase is a few bars: split it");
  }
  const ptrdiff_t bad = rl_slice_bad_byte(text);
  RlAbcMark       at  = {1, 1};
  for (ptrdiff_t i = 0; i < bad; ++i) {
    at = text.at[i] == '\n' ? (RlAbcMark){at.line + 1, 1}
                            : (RlAbcMark){at.line, at.column + !continues(text.at[i])};
  }
  return bad < 0 || rl_abc_fail(r, at, "this byte is not text; save the tune as UTF-8");
}

/* Counts times from the first beat of the bar, and notes from the roots of their chords. */
static void
phrase_finish(RlAbcReader *const r)
{
  RlPhrase *const p = r->phrase;
  p->pickup         = r->now > r->first_bar ? r->first_bar : 0;
  p->lasts          = r->now - p->pickup;
  for (int i = 0; i < p->chords; ++i) {
    p->chord[i].at -= p->pickup;
  }
  for (int i = 0; i < p->notes; ++i) {
    RlPhraseNote *const note  = &p->note[i];
    const int           pitch = note->above; /* MIDI, up to here */
    note->at -= p->pickup;
    note->above = 0;
    note->above = (int16_t)(pitch - rl_phrase_pitch(p, note));
  }
}

/* Without chord symbols: the triad on the tonic. */
static bool
chord_supply(RlAbcReader *const r, const RlAbcMark end)
{
  static const char *const triad[7] = {"", "m", "m", "", "", "m", "dim"};
  RlPhrase *const          p        = r->phrase;
  if (p->chords) {
    return true;
  }
  if (r->no_key) {
    return rl_abc_fail(r, end,
                       "K:none and no chord symbols: nothing says what the notes are played over; "
                       "write the chord before the first note: \"G7\"");
  }
  const RlWritten root = {true, p->key.tonic.letter, p->key.tonic.alter};
  p->chord[p->chords++].chord =
    (RlChord){.quality = rl_quality_find(rl_slice(triad[p->mode])), .root = root};
  return true;
}

static bool
tune_end(RlAbcReader *const r, const RlAbcMark end)
{
  if (!r->seen) {
    return rl_abc_fail(r, end, "there is no tune; it begins with a line X:1");
  }
  if (!r->in_body) {
    return rl_abc_fail(r, end, "there is no K:, the last line before the music; write K:G");
  }
  if (!rl_abc_music_end(r)) {
    return false;
  }
  return r->phrase->notes ? chord_supply(r, end)
                          : rl_abc_fail(r, end, "there are no notes; write them after K:");
}

static bool
tune_read(RlAbcReader *const r)
{
  memset(r->phrase, 0, sizeof(*r->phrase));
  if (r->left) {
    memset(r->left, 0, sizeof(*r->left));
  }
  if (!each_line(r)) {
    return false;
  }
  const RlSlice last = {r->line_at, (size_t)(r->text.at + r->text.length - r->line_at)};
  if (!tune_end(r, rl_abc_mark(r, last.at + rl_slice_until(last, "\n")))) {
    return false;
  }
  phrase_finish(r);
  return true;
}

bool
rl_abc_read_counting(const RlSlice text, RlPhrase *const phrase, RlAbcLeftOut *const left,
                     RlAbcError *const error)
{
  assert(phrase && error && (text.at || !text.length));
  RlAbcReader r = {.phrase = phrase, .error = error, .left = left, .onset = -1, .pass = 1};
  memset(error, 0, sizeof(*error));
  if (!text_fits(&r, text)) {
    return false;
  }
  r.text           = rl_slice_after(text, rl_slice_begins(text, "\xEF\xBB\xBF") ? 3 : 0);
  RlAbcReader once = r;
  if (tune_read(&r)) {
    return true;
  }
  if (!r.full || !r.jumped) {
    return false;
  }
  once.once       = true;
  once.pass       = 2; /* the second endings */
  const bool good = tune_read(&once);
  rl_abc_left(&once, RL_ABC_REPEATS, once.text.at + once.text.length);
  return good;
}

bool
rl_abc_read(const RlSlice text, RlPhrase *const phrase, RlAbcError *const error)
{
  return rl_abc_read_counting(text, phrase, NULL, error);
}

/* ---- books ---- */

RlAbcBook
rl_abc_book(const RlSlice text)
{
  return (RlAbcBook){rl_slice_after(text, rl_slice_begins(text, "\xEF\xBB\xBF") ? 3 : 0), 1, 0};
}

/* Does a tune begin with this line? At the head of the book one begins with a field for all tunes
   too. */
static bool
begins(const RlAbcBook *const book, const RlSlice line)
{
  return rl_slice_begins(line, "X:") ||
         (!book->line && line.length > 1 && line.at[1] == ':' && strchr("KLMQ", line.at[0]));
}

/* Reads the lines up to a blank one; returns the tune in them, or nothing. */
static RlSlice
block_next(RlAbcBook *const book)
{
  RlSlice block = {book->rest.at, 0};
  while (book->rest.length) {
    if (block.length && rl_slice_begins(book->rest, "X:")) {
      break;
    }
    const RlSlice line  = line_next(&book->rest);
    const bool    first = !block.length && begins(book, line);
    book->line          = first ? book->next : book->line;
    block.at            = first ? line.at : block.at;
    ++book->next;
    if (blank(line)) {
      break;
    }
    if (first || block.length) {
      block.length = (size_t)(line.at + line.length - block.at);
    }
  }
  return block;
}

RlSlice
rl_abc_next(RlAbcBook *const book)
{
  RlSlice block = {book->rest.at, 0};
  while (book->rest.length && !block.length) {
    block = block_next(book);
  }
  return block;
}

bool
rl_abc_is_sure(const RlSlice line)
{
  return rl_slice_begins(line, "N:sure .") || rl_slice_begins(line, "N:sure 1");
}

bool
rl_abc_is_named(const RlSlice line, const char name)
{
  return line.length > 1 && line.at[0] == name && line.at[1] == ':' && !rl_abc_is_sure(line);
}

RlSlice
rl_abc_field_value(RlSlice tune, const char name)
{
  while (tune.length) {
    const RlSlice line = {tune.at, rl_slice_until(tune, "\n")};
    if (rl_abc_is_named(line, name)) {
      return rl_slice_trim(rl_slice_after(line, 2));
    }
    tune = rl_slice_after(tune, line.length + 1);
  }
  return tune;
}
