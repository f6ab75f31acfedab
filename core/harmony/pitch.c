/* SPDX-License-Identifier: ISC */
#include "core/harmony/pitch.h"

#include <assert.h>
#include <math.h>

static const int8_t natural_class[7] = {0, 2, 4, 5, 7, 9, 11};

static const RlSpelling major_keys[12] = {
  {0, 0}, {1, -1}, {1, 0},  {2, -1}, {2, 0},  {3, 0},
  {3, 1}, {4, 0},  {5, -1}, {5, 0},  {6, -1}, {6, 0},
};

static const RlSpelling minor_keys[12] = {
  {0, 0}, {0, 1}, {1, 0}, {2, -1}, {2, 0}, {3, 0}, {3, 1}, {4, 0}, {4, 1}, {5, 0}, {6, -1}, {6, 0},
};

int
rl_pitch_class(const int semitones)
{
  return ((semitones % 12) + 12) % 12;
}

int
rl_spelling_class(const RlSpelling spelling)
{
  assert(spelling.letter >= 0 && spelling.letter < 7);
  return rl_pitch_class(natural_class[spelling.letter] + spelling.alter);
}

/* The natural note of that pitch class as a letter, or -1. */
static int8_t
natural_letter(const int pitch_class)
{
  for (int8_t letter = 0; letter < 7; ++letter) {
    if (natural_class[letter] == pitch_class) {
      return letter;
    }
  }
  return -1;
}

/* A name without double signs: a natural note, else a sharp or flat one by the sign of `lean`. */
static RlSpelling
plain(const int pitch_class, const int8_t lean)
{
  const int8_t natural = natural_letter(pitch_class);
  return natural >= 0 ? (RlSpelling){natural, 0}
                      : (RlSpelling){natural_letter(pitch_class - lean), lean};
}

RlSpelling
rl_spelling_above(const RlSpelling from, const int steps, const int semitones)
{
  const int letter = (((from.letter + steps) % 7) + 7) % 7;
  const int target = rl_pitch_class(rl_spelling_class(from) + semitones);
  const int alter  = rl_pitch_class(target - natural_class[letter] + 6) - 6;
  return alter < -1 || alter > 1 ? plain(target, alter < 0 ? -1 : 1)
                                 : (RlSpelling){(int8_t)letter, (int8_t)alter};
}

static const struct {
  const char *sign;
  int8_t      alter;
} accidentals[] = {{"#", 1}, {"b", -1}, {"\xE2\x99\xAF", 1}, {"\xE2\x99\xAD", -1}};

size_t
rl_spelling_read(const RlSlice text, RlSpelling *const spelling)
{
  if (!text.length || text.at[0] < 'A' || text.at[0] > 'G') {
    return 0;
  }
  *spelling          = (RlSpelling){(int8_t)((text.at[0] - 'A' + 5) % 7), 0};
  const RlSlice rest = rl_slice_after(text, 1);
  for (size_t i = 0; i < sizeof(accidentals) / sizeof(accidentals[0]); ++i) {
    if (rl_slice_begins(rest, accidentals[i].sign)) {
      spelling->alter = accidentals[i].alter;
      return 1 + rl_slice(accidentals[i].sign).length;
    }
  }
  return 1;
}

void
rl_spelling_write(const RlSpelling spelling, RlText *const text)
{
  assert(spelling.letter >= 0 && spelling.letter < 7);
  const char name[2] = {"CDEFGAB"[spelling.letter], '\0'};
  rl_text_add(text, name);
  rl_text_add(text, spelling.alter < 0 ? "b" : spelling.alter > 0 ? "#" : "");
}

RlKey
rl_key_named(const int tonic, const bool minor)
{
  return (RlKey){(minor ? minor_keys : major_keys)[rl_pitch_class(tonic)], minor};
}

static const struct {
  const char *name;
  bool        minor;
} modes[] = {
  {"", false},     {"m", true},    {" major", false}, {" minor", true},
  {" maj", false}, {" min", true}, {" Major", false}, {" Minor", true},
};

bool
rl_key_read(const RlSlice text, RlKey *const key)
{
  const RlSlice mode = rl_slice_after(text, rl_spelling_read(text, &key->tonic));
  for (size_t i = 0; i < sizeof(modes) / sizeof(modes[0]); ++i) {
    if (mode.length < text.length && rl_slice_is(mode, modes[i].name)) {
      key->minor = modes[i].minor;
      return true;
    }
  }
  return false;
}

void
rl_key_write(const RlKey key, RlText *const text)
{
  rl_spelling_write(key.tonic, text);
  rl_text_add(text, key.minor ? "m" : "");
}

double
rl_pitch_hertz(const int midi_note)
{
  return 440.0 * exp2((midi_note - 69) / 12.0);
}
