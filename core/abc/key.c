/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

enum { SIGNS_MAX = 7 };

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
key_read(RlAbcReader *const r, RlSlice *const rest)
{
  RlAbcKey *const key   = &r->key;
  const RlSlice   whole = *rest;
  RlSlice         word  = {rest->at, letters_at(*rest)};
  const bool      none  = rl_slice_is(word, "none");
  const bool      pipes = rl_slice_is(word, "HP") || rl_slice_is(word, "Hp");
  r->no_key             = none || (r->in_body && r->no_key);
  *key                  = (RlAbcKey){{(int8_t)(pipes ? 5 : 0), 0}, pipes ? 4 : 0};
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

/* The key from the front of K:, and its signature. Where a clef or the like stands there the key
   stays as it is; above the music it is none. */
static bool
key_begin(RlAbcReader *const r, RlSlice *const rest)
{
  const RlSlice first = {rest->at, rl_slice_until(*rest, " \t")};
  if (rl_abc_specifier(r, first) && !rl_slice_is(first, "none")) {
    r->no_key = r->no_key || !r->in_body;
    return true;
  }
  if (!key_read(r, rest)) {
    return false;
  }
  for (int i = 0; i < 7; ++i) {
    r->rules.sign[i] = (int8_t)rl_abc_signature(r->key, i);
  }
  return true;
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
key_word(RlAbcReader *const r, const RlSlice word)
{
  const RlAbcSpecifier found = rl_abc_specifier(r, word);
  if (found == RL_ABC_SPECIFIER_WRONG) {
    return rl_abc_fail_with(
      r, rl_abc_mark(r, word.at), "\"", word,
      "\" is out of range; transpose= goes from -48 to 48, octave= from -4 to 4");
  }
  if (rl_slice_is(word, "exp")) {
    memset(r->rules.sign, 0, sizeof(r->rules.sign));
  } else if (found == RL_ABC_SPECIFIER_NONE && !sign_word(r, word)) {
    rl_abc_left(r, RL_ABC_LINES, word.at);
  }
  return true;
}

/* Before the first note a key is the phrase's; later ones only change what notes sound. */
void
rl_abc_key_settle(RlAbcReader *const r, const RlAbcRules *const before, const char *const at)
{
  RlPhrase *const p       = r->phrase;
  const RlAbcKey  concert = rl_abc_key_moved(r->key, r->rules.transpose);
  if (r->now) {
    if (memcmp(before->sign, r->rules.sign, sizeof(before->sign)) != 0 ||
        (before->transpose - r->rules.transpose) % 12) {
      rl_abc_left(r, RL_ABC_KEYS, at);
    }
    return;
  }
  p->transpose = (int8_t)r->rules.transpose;
  p->mode      = (uint8_t)concert.mode;
  p->key = (RlKey){concert.tonic, concert.mode == 1 || concert.mode == 2 || concert.mode == 5 ||
                                    concert.mode == 6};
}

bool
rl_abc_key_field(RlAbcReader *const r, const RlSlice value)
{
  const RlAbcRules before = r->rules;
  RlSlice          rest   = value;
  bool             good   = key_begin(r, &rest);
  for (rest = rl_slice_trim(rest); good && rest.length; rest = rl_slice_trim(rest)) {
    const RlSlice word = {rest.at, rl_slice_until(rest, " \t")};
    good               = key_word(r, word);
    rest               = rl_slice_after(rest, word.length);
  }
  if (good) {
    rl_abc_key_settle(r, &before, value.at);
  }
  return good;
}
