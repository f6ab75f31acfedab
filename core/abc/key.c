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

/* Reads the tonic and the mode from the front. */
static bool
key_read(RlAbcReader *const r, RlSlice *const rest)
{
  const RlSlice whole = *rest;
  RlSlice       word  = {rest->at, letters_at(*rest)};
  r->no_key           = rl_slice_is(word, "none");
  if (r->no_key) {
    *rest = rl_slice_after(*rest, word.length);
    return true;
  }
  const size_t n = rl_spelling_read(*rest, &r->key.tonic);
  word           = mode_word(rl_slice_trim(rl_slice_after(*rest, n)));
  r->key.mode    = mode_of(word);
  if (!n || r->key.mode < 0 || absolute(rl_abc_sharps(r->key)) > SIGNS_MAX) {
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
number_read(RlAbcReader *const r, RlSlice *const rest, const char *const name, const int most,
            int *const number)
{
  const RlSlice whole  = *rest;
  RlSlice       after  = rl_slice_after(whole, strlen(name));
  const bool    below  = rl_slice_begins(after, "-");
  after                = rl_slice_after(after, below || rl_slice_begins(after, "+"));
  const int value      = rl_abc_digits(&after);
  *rest                = after;
  *number              = below ? -value : value;
  const bool ended     = !after.length || after.at[0] == ' ' || after.at[0] == '\t';
  const bool has_value = value >= 0 && value <= most && ended;
  return has_value ||
         rl_abc_fail_with(
           r, rl_abc_mark(r, whole.at), "\"", (RlSlice){whole.at, rl_slice_until(whole, " \t")},
           "\" is out of range; transpose= goes from -48 to 48, octave= from -4 to 4");
}

bool
rl_abc_key_field(RlAbcReader *const r, const RlSlice value)
{
  int     transpose = 0;
  RlSlice rest      = value;
  if (!key_read(r, &rest)) {
    return false;
  }
  for (rest = rl_slice_trim(rest); rest.length; rest = rl_slice_trim(rest)) {
    const bool moves = rl_slice_begins(rest, "transpose=");
    if (!moves && !rl_slice_begins(rest, "octave=")) {
      return rl_abc_fail_with(r, rl_abc_mark(r, rest.at), "\"",
                              (RlSlice){rest.at, rl_slice_until(rest, " \t")},
                              "\" after the key is not read; only transpose= and octave= are");
    }
    if (!number_read(r, &rest, moves ? "transpose=" : "octave=", moves ? TRANSPOSE_MAX : OCTAVE_MAX,
                     moves ? &transpose : &r->octave)) {
      return false;
    }
  }
  const RlAbcKey concert = rl_abc_key_moved(r->key, transpose);
  r->phrase->transpose   = (int8_t)transpose;
  r->phrase->mode        = (uint8_t)concert.mode;
  r->phrase->key         = (RlKey){concert.tonic, concert.mode == 1 || concert.mode == 2 ||
                                                    concert.mode == 5 || concert.mode == 6};
  return true;
}
