/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

enum { SIGNS_MAX = 7, TRANSPOSE_MAX = 48, OCTAVE_MAX = 4 };

/* Fifths above C by letter, and what a mode adds to them. */
static const int8_t letter_fifths[7] = {0, 2, 4, -1, 1, 3, 5};
static const int8_t mode_fifths[7]   = {0, -2, -4, 1, -1, -3, -5};

static const struct {
  const char *three; /* the letters that count */
  int8_t      mode;
} modes[] = {
  {"maj", 0}, {"ion", 0}, {"dor", 1}, {"phr", 2}, {"lyd", 3},
  {"mix", 4}, {"min", 5}, {"aeo", 5}, {"loc", 6},
};

int
rl_abc_sharps(const RlAbcKey key)
{
  // NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult): the mode is one of seven
  return letter_fifths[key.tonic.letter] + 7 * key.tonic.alter + mode_fifths[key.mode];
}

int
rl_abc_signature(const RlAbcKey key, const int letter)
{
  const int order  = letter_fifths[letter] + 1; /* F C G D A E B */
  const int sharps = rl_abc_sharps(key);
  return sharps > order ? 1 : -sharps > 6 - order ? -1 : 0;
}

static int
absolute(const int number)
{
  return number < 0 ? -number : number;
}

RlAbcKey
rl_abc_key_moved(const RlAbcKey key, const int semitones)
{
  const int target = rl_pitch_class(rl_spelling_class(key.tonic) + semitones);
  RlAbcKey  best   = key;
  int       fewest = 100;
  if (semitones % 12 == 0) {
    return key;
  }
  for (int i = 0; i < 21; ++i) {
    const RlAbcKey other = {{(int8_t)(i % 7), (int8_t)(1 - i / 7)}, key.mode};
    const int      signs = absolute(rl_abc_sharps(other));
    if (rl_spelling_class(other.tonic) == target && signs < fewest) {
      best   = other;
      fewest = signs;
    }
  }
  return best;
}

static RlWritten
letter_moved(const RlWritten written, const RlAbcKey there, const int semitones)
{
  const int        sounds = rl_spelling_class((RlSpelling){written.step, written.alter});
  const int        above  = sounds + semitones - rl_spelling_class(there.tonic);
  const RlSpelling name   = rl_degree_spelling(rl_degree_plain(above), there.tonic);
  return (RlWritten){true, name.letter, name.alter};
}

RlChord
rl_abc_chord_moved(RlChord chord, const RlAbcKey there, const int semitones)
{
  if (semitones % 12) {
    chord.root = letter_moved(chord.root, there, semitones);
    chord.bass = chord.has_bass ? letter_moved(chord.bass, there, semitones) : chord.bass;
  }
  return chord;
}

/* ---- K: ---- */

static char
small(const char c)
{
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static size_t
letters_at(const RlSlice rest)
{
  size_t n = 0;
  while (n < rest.length && small(rest.at[n]) >= 'a' && small(rest.at[n]) <= 'z') {
    ++n;
  }
  return n;
}

/* 0..6; -1 if the word is no mode. No word is major. */
static int
mode_of(const RlSlice word)
{
  if (!word.length || rl_slice_is(word, "m")) {
    return word.length ? 5 : 0;
  }
  for (size_t i = 0; i < sizeof(modes) / sizeof(modes[0]) && word.length >= 3; ++i) {
    const char *const three = modes[i].three;
    if (small(word.at[0]) == three[0] && small(word.at[1]) == three[1] &&
        small(word.at[2]) == three[2]) {
      return modes[i].mode;
    }
  }
  return -1;
}

/* The word is a mode, or the name of what follows: `transpose=`. */
static RlSlice
mode_word(const RlSlice rest)
{
  const size_t n     = letters_at(rest);
  const bool   named = n < rest.length && rest.at[n] == '=';
  return (RlSlice){rest.at, named ? 0 : n};
}

/* Reads the tonic and the mode from the front, or `none`, or HP and Hp: bagpipes play F and C
   sharp without a signature. */
static bool
key_read(RlAbcReader *const r, RlSlice *const rest, RlAbcKey *const key)
{
  const RlSlice whole = *rest;
  RlSlice       word  = {rest->at, letters_at(*rest)};
  const bool    none  = rl_slice_is(word, "none");
  const bool    pipes = rl_slice_is(word, "HP") || rl_slice_is(word, "Hp");
  r->no_key           = none || (r->in_body && r->no_key);
  *key                = (RlAbcKey){{(int8_t)(pipes ? 5 : 0), 0}, pipes ? 4 : 0};
  if (none || pipes) {
    *rest = rl_slice_after(*rest, word.length);
    return true;
  }
  const size_t n = rl_spelling_read(*rest, &key->tonic);
  word           = mode_word(rl_slice_trim(rl_slice_after(*rest, n)));
  key->mode      = mode_of(word);
  if (key->mode < 0 && word.at > rest->at + n) { /* not joined to the letter: a clef or the like */
    key->mode   = 0;
    word.length = 0;
  }
  if (!n || key->mode < 0 || absolute(rl_abc_sharps(*key)) > SIGNS_MAX) {
    const RlSlice said = {whole.at, rl_slice_until(whole, "=")};
    return rl_abc_fail_with(
      r, rl_abc_mark(r, whole.at), "no such key \"", said,
      "\"; write a letter A to G, # or b, and maj, m, ion, dor, phr, lyd, mix, "
      "aeo or loc, with at most seven signs: Gmix; or none");
  }
  *rest =
    (RlSlice){word.at + word.length, (size_t)(whole.at + whole.length - word.at) - word.length};
  return true;
}

/* `transpose=-2`: a number within `most` of 0. */
static bool
number_read(RlAbcReader *const r, const RlSlice word, const int most, int *const number)
{
  RlSlice    after = rl_slice_after(word, rl_slice_until(word, "=") + 1);
  const bool below = rl_slice_begins(after, "-");
  after            = rl_slice_after(after, below || rl_slice_begins(after, "+"));
  const int value  = rl_abc_digits(&after);
  *number          = below ? -value : value;
  return (value >= 0 && value <= most && !after.length) ||
         rl_abc_fail_with(
           r, rl_abc_mark(r, word.at), "\"", word,
           "\" is out of range; transpose= goes from -48 to 48, octave= from -4 to 4");
}

/* `^f`, `_b`, `=c`: a letter that the signature has otherwise, in every octave. */
static bool
sign_word(RlAbcReader *const r, RlSlice word)
{
  int alter = 0;
  if (!rl_abc_sign_read(&word, &alter) || word.length != 1 ||
      !strchr("CDEFGABcdefgab", word.at[0])) {
    return false;
  }
  r->rules.sign[(small(word.at[0]) - 'a' + 5) % 7] = (int8_t)alter;
  return true;
}

/* What stands behind the key: a word. */
static bool
key_word(RlAbcReader *const r, const RlSlice word, int *const transpose)
{
  if (rl_slice_begins(word, "transpose=")) {
    return number_read(r, word, TRANSPOSE_MAX, transpose);
  }
  if (rl_slice_begins(word, "octave=")) {
    return number_read(r, word, OCTAVE_MAX, &r->rules.octave);
  }
  if (rl_slice_is(word, "exp")) {
    memset(r->rules.sign, 0, sizeof(r->rules.sign));
    return true;
  }
  if (!sign_word(r, word)) {
    rl_abc_left_key_word(r, word);
  }
  return true;
}

bool
rl_abc_key_field(RlAbcReader *const r, const RlSlice value)
{
  int      transpose = 0;
  RlSlice  rest      = value;
  RlAbcKey key;
  if (!key_read(r, &rest, &key)) {
    return false;
  }
  r->rules.octave = 0;
  for (int i = 0; i < 7; ++i) {
    r->rules.sign[i] = (int8_t)rl_abc_signature(key, i);
  }
  for (rest = rl_slice_trim(rest); rest.length; rest = rl_slice_trim(rest)) {
    const RlSlice word = {rest.at, rl_slice_until(rest, " \t")};
    if (!key_word(r, word, &transpose)) {
      return false;
    }
    rest = rl_slice_after(rest, word.length);
  }
  if (r->now) {
    return true;
  }
  const RlAbcKey concert = rl_abc_key_moved(key, transpose);
  r->phrase->transpose   = (int8_t)transpose;
  r->phrase->mode        = (uint8_t)concert.mode;
  r->phrase->key         = (RlKey){concert.tonic, concert.mode == 1 || concert.mode == 2 ||
                                                    concert.mode == 5 || concert.mode == 6};
  return true;
}
