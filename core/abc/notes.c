/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

enum { MIDDLE_C = 60, MIDI_MAX = 127 };

static const struct {
  const char *sign;
  int         alter;
} signs[] = {{"^^", 2}, {"__", -2}, {"^", 1}, {"_", -1}, {"=", 0}};

bool
rl_abc_sign_read(RlSlice *const rest, int *const alter)
{
  for (size_t i = 0; i < sizeof(signs) / sizeof(signs[0]); ++i) {
    if (rl_slice_begins(*rest, signs[i].sign)) {
      *alter = signs[i].alter;
      *rest  = rl_slice_after(*rest, strlen(signs[i].sign));
      return true;
    }
  }
  return false;
}

/* Reads a letter with its octave marks: 0..6 from C; -1 if there is none. */
static int
letter_read(RlSlice *const rest, int *const octave)
{
  static const char letters[] = "CDEFGABcdefgab";
  const char *const at        = rest->length && rest->at[0] ? strchr(letters, rest->at[0]) : NULL;
  const int         index     = at ? (int)(at - letters) : -1;
  if (!at) {
    return -1;
  }
  *octave = index / 7;
  *rest   = rl_slice_after(*rest, 1);
  while (rest->length && (rest->at[0] == '\'' || rest->at[0] == ',')) {
    *octave += rest->at[0] == '\'' ? 1 : -1;
    *rest = rl_slice_after(*rest, 1);
  }
  return index % 7;
}

/* The accidental of a note without a sign of its own: by a tie, a sign earlier in the bar, or the
   key. */
static int
alter_of(const RlAbcReader *const r, const RlAbcNote note)
{
  for (int i = 0; r->tie && i < r->last.count; ++i) {
    if (r->last.note[i].letter == note.letter && r->last.note[i].octave == note.octave) {
      return r->last.note[i].alter;
    }
  }
  return r->altered[note.letter] ? r->alter[note.letter] : r->rules.sign[note.letter];
}

/* Reads a note without its length. */
static bool
pitch_read(RlAbcReader *const r, RlSlice *const rest, RlAbcStack *const stack)
{
  const RlAbcMark mark  = rl_abc_mark(r, rest->at);
  RlAbcNote       note  = {0};
  const bool      given = rl_abc_sign_read(rest, &note.alter);
  note.letter           = letter_read(rest, &note.octave);
  if (note.letter < 0) {
    return rl_abc_fail(r, mark,
                       "no note follows this accidental; write one of ^^ ^ = _ __ and a letter: "
                       "_B; quarter tones are not read");
  }
  if (given) {
    r->altered[note.letter] = true;
    r->alter[note.letter]   = note.alter;
  } else {
    note.alter = alter_of(r, note);
  }
  const int natural = rl_spelling_class((RlSpelling){(int8_t)note.letter, 0});
  const int pitch   = MIDDLE_C + natural + note.alter +
                    12 * (note.octave + r->rules.octave + r->rules.clef_octave) +
                    r->rules.transpose;
  if (pitch < 0 || pitch > MIDI_MAX) {
    return rl_abc_fail(
      r, mark, "this note is out of range: below MIDI note 0 or above 127; move it by octaves");
  }
  stack->note[stack->count]    = note;
  stack->pitch[stack->count++] = (uint8_t)pitch;
  return true;
}

/* Reads a length: `3`, `/`, `//`, `/4`, `3/2`, or nothing. */
static bool
length_read(RlAbcReader *const r, RlSlice *const rest, RlAbcLength *const length)
{
  const char *const from  = rest->at;
  const bool        digit = rest->length && rest->at[0] >= '0' && rest->at[0] <= '9';
  length->num             = digit ? rl_abc_digits(rest) : 1;
  length->den             = 1;
  while (rl_slice_begins(*rest, "/")) {
    length->den *= length->den < RL_ABC_NUMBER_MAX ? 2 : 1;
    *rest = rl_slice_after(*rest, 1);
  }
  if (rest->length && rest->at[0] >= '0' && rest->at[0] <= '9') {
    const int64_t halves = length->den;
    length->den          = rl_abc_digits(rest);
    length->num          = halves == 2 ? length->num : -1;
  }
  const RlSlice said = {from, (size_t)(rest->at - from)};
  return (length->num > 0 && length->den > 0 && length->den < RL_ABC_NUMBER_MAX) ||
         rl_abc_fail_with(r, rl_abc_mark(r, from), "no such length \"", said,
                          "\"; write 3, 3/2, /2 or / after the note");
}

size_t
rl_abc_note(RlAbcReader *const r, const RlSlice rest)
{
  const RlAbcMark mark  = rl_abc_mark(r, rest.at);
  RlAbcStack      stack = {0};
  RlSlice         after = rest;
  return pitch_read(r, &after, &stack) && length_read(r, &after, &stack.length) &&
             rl_abc_add(r, mark, after.at, &stack)
           ? rest.length - after.length
           : 0;
}

size_t
rl_abc_rest(RlAbcReader *const r, const RlSlice rest)
{
  const RlAbcMark mark  = rl_abc_mark(r, rest.at);
  RlAbcStack      stack = {0};
  RlSlice         after = rl_slice_after(rest, 1);
  return length_read(r, &after, &stack.length) && rl_abc_add(r, mark, after.at, &stack)
           ? rest.length - after.length
           : 0;
}

/* ---- notes at the same time ---- */

/* Sorts the last note in, the lowest first. */
static void
stack_sort(RlAbcStack *const s)
{
  for (int i = s->count - 1; i > 0 && s->pitch[i] < s->pitch[i - 1]; --i) {
    const uint8_t   pitch = s->pitch[i];
    const RlAbcNote note  = s->note[i];
    s->pitch[i]           = s->pitch[i - 1];
    s->note[i]            = s->note[i - 1];
    s->pitch[i - 1]       = pitch;
    s->note[i - 1]        = note;
  }
}

static bool
twice(const RlAbcStack *const s)
{
  for (int i = 1; i < s->count; ++i) {
    if (s->pitch[i] == s->pitch[i - 1]) {
      return true;
    }
  }
  return false;
}

static bool
length_same(const RlAbcLength a, const RlAbcLength b)
{
  return a.num * b.den == b.num * a.den;
}

/* One more note inside the brackets; of more than three the lowest is left out. */
static bool
stack_note(RlAbcReader *const r, RlSlice *const rest, RlAbcStack *const stack)
{
  const RlAbcMark mark   = rl_abc_mark(r, rest->at);
  RlAbcLength     length = {1, 1};
  if (!pitch_read(r, rest, stack) || !length_read(r, rest, &length)) {
    return false;
  }
  if (stack->count > 1 && !length_same(length, stack->length)) {
    return rl_abc_fail(
      r, mark, "notes of different lengths in [ ]; write one length for all, after the bracket");
  }
  stack->length = length;
  stack_sort(stack);
  if (twice(stack)) {
    return rl_abc_fail(r, mark, "the same note twice in [ ]; leave one of them out");
  }
  if (stack->count > RL_PHRASE_TOGETHER) {
    rl_abc_left(r, RL_ABC_TONES, rest->at);
    --stack->count;
    memmove(stack->pitch, stack->pitch + 1, sizeof(stack->pitch[0]) * (size_t)stack->count);
    memmove(stack->note, stack->note + 1, sizeof(stack->note[0]) * (size_t)stack->count);
  }
  return true;
}

/* What stands inside the brackets: a note, or what may stand before one; a tie behind any note ties
   all. */
static bool
stack_item(RlAbcReader *const r, RlSlice *const rest, RlAbcStack *const stack, bool *const tie)
{
  const char c = rest->at[0];
  if (strchr("ABCDEFGabcdefg^_=", c)) {
    return stack_note(r, rest, stack);
  }
  if (strchr("-() \t", c)) {
    *tie  = *tie || c == '-';
    *rest = rl_slice_after(*rest, 1);
    return true;
  }
  if (!strchr("\"!", c)) {
    return rl_abc_fail_with(
      r, rl_abc_mark(r, rest->at), "\"", rl_abc_character(*rest),
      "\" stands inside [ ]; only notes and their lengths do: put chord symbols, "
      "!slide! and ( before the bracket, ties after it");
  }
  const size_t n = rl_abc_item(r, *rest);
  *rest          = rl_slice_after(*rest, n);
  return n;
}

static bool
length_times(RlAbcReader *const r, const RlAbcMark mark, RlAbcStack *const s, const RlAbcLength by)
{
  s->length = (RlAbcLength){s->length.num * by.num, s->length.den * by.den};
  return (s->length.num < RL_ABC_NUMBER_MAX && s->length.den < RL_ABC_NUMBER_MAX) ||
         rl_abc_fail(r, mark,
                     "the lengths inside and after the brackets are too large together; write one "
                     "after the bracket");
}

size_t
rl_abc_stack(RlAbcReader *const r, const RlSlice rest)
{
  const RlAbcMark mark  = rl_abc_mark(r, rest.at);
  RlAbcStack      stack = {0};
  RlAbcLength     outer = {1, 1};
  bool            tie   = false;
  RlSlice         after = rl_slice_after(rest, 1);
  while (after.length && after.at[0] != ']') {
    if (!stack_item(r, &after, &stack, &tie)) {
      return 0;
    }
  }
  if (!after.length || !stack.count) {
    return (size_t)rl_abc_fail(r, mark,
                               "notes sounded together stand between [ and ] on one line: [df]2");
  }
  after = rl_slice_after(after, 1);
  if (!length_read(r, &after, &outer) || !length_times(r, mark, &stack, outer) ||
      !rl_abc_add(r, mark, after.at, &stack)) {
    return 0;
  }
  r->tie = tie;
  return rest.length - after.length;
}
