/* SPDX-License-Identifier: ISC */
#include "core/harmony/chord.h"

#include <assert.h>
#include <string.h>

static const struct {
  const char *name;
  uint8_t     semitones, steps; /* above the root */
  RlFunction  function;
} degrees[] = {
  [RL_DEGREE_ROOT]          = {"R", 0, 0, RL_FUNCTION_ROOT},
  [RL_DEGREE_FLAT_9]        = {"b9", 1, 1, RL_FUNCTION_OTHER},
  [RL_DEGREE_9]             = {"9", 2, 1, RL_FUNCTION_OTHER},
  [RL_DEGREE_2]             = {"2", 2, 1, RL_FUNCTION_THIRD},
  [RL_DEGREE_FLAT_3]        = {"b3", 3, 2, RL_FUNCTION_THIRD},
  [RL_DEGREE_SHARP_9]       = {"#9", 3, 1, RL_FUNCTION_OTHER},
  [RL_DEGREE_3]             = {"3", 4, 2, RL_FUNCTION_THIRD},
  [RL_DEGREE_11]            = {"11", 5, 3, RL_FUNCTION_OTHER},
  [RL_DEGREE_4]             = {"4", 5, 3, RL_FUNCTION_THIRD},
  [RL_DEGREE_SHARP_11]      = {"#11", 6, 3, RL_FUNCTION_OTHER},
  [RL_DEGREE_FLAT_5]        = {"b5", 6, 4, RL_FUNCTION_FIFTH},
  [RL_DEGREE_5]             = {"5", 7, 4, RL_FUNCTION_FIFTH},
  [RL_DEGREE_SHARP_5]       = {"#5", 8, 4, RL_FUNCTION_FIFTH},
  [RL_DEGREE_FLAT_13]       = {"b13", 8, 5, RL_FUNCTION_OTHER},
  [RL_DEGREE_13]            = {"13", 9, 5, RL_FUNCTION_OTHER},
  [RL_DEGREE_6]             = {"6", 9, 5, RL_FUNCTION_OTHER},
  [RL_DEGREE_DOUBLE_FLAT_7] = {"bb7", 9, 6, RL_FUNCTION_SEVENTH},
  [RL_DEGREE_FLAT_7]        = {"b7", 10, 6, RL_FUNCTION_SEVENTH},
  [RL_DEGREE_7]             = {"7", 11, 6, RL_FUNCTION_SEVENTH},
};

_Static_assert(sizeof(degrees) / sizeof(degrees[0]) == RL_DEGREES, "a row for every degree");

static const RlDegree plain_degrees[12] = {
  RL_DEGREE_ROOT,    RL_DEGREE_FLAT_9, RL_DEGREE_9,        RL_DEGREE_FLAT_3,
  RL_DEGREE_3,       RL_DEGREE_11,     RL_DEGREE_SHARP_11, RL_DEGREE_5,
  RL_DEGREE_FLAT_13, RL_DEGREE_13,     RL_DEGREE_FLAT_7,   RL_DEGREE_7,
};

const char *
rl_degree_name(const RlDegree degree)
{
  assert(degree < RL_DEGREES);
  return degrees[degree].name;
}

int
rl_degree_semitones(const RlDegree degree)
{
  assert(degree < RL_DEGREES);
  return degrees[degree].semitones;
}

RlSpelling
rl_degree_spelling(const RlDegree degree, const RlSpelling root)
{
  assert(degree < RL_DEGREES);
  return rl_spelling_above(root, degrees[degree].steps, degrees[degree].semitones);
}

RlFunction
rl_degree_function(const RlDegree degree)
{
  assert(degree < RL_DEGREES);
  return degrees[degree].function;
}

RlDegree
rl_degree_plain(const int semitones)
{
  return plain_degrees[rl_pitch_class(semitones)];
}

bool
rl_class_set_has(const RlClassSet set, const int semitones)
{
  return (set >> rl_pitch_class(semitones)) & 1;
}

#define S(n) (1U << (n))

/* Semitones above the root; common practice, no source. */
enum {
  IONIAN            = S(0) | S(2) | S(4) | S(5) | S(7) | S(9) | S(11),
  DORIAN            = S(0) | S(2) | S(3) | S(5) | S(7) | S(9) | S(10),
  MIXOLYDIAN        = S(0) | S(2) | S(4) | S(5) | S(7) | S(9) | S(10),
  AEOLIAN           = S(0) | S(2) | S(3) | S(5) | S(7) | S(8) | S(10),
  LOCRIAN           = S(0) | S(1) | S(3) | S(5) | S(6) | S(8) | S(10),
  LYDIAN_DOMINANT   = S(0) | S(2) | S(4) | S(6) | S(7) | S(9) | S(10),
  MELODIC_MINOR     = S(0) | S(2) | S(3) | S(5) | S(7) | S(9) | S(11),
  HALF_WHOLE        = S(0) | S(1) | S(3) | S(4) | S(6) | S(7) | S(9) | S(10),
  WHOLE_HALF        = S(0) | S(2) | S(3) | S(5) | S(6) | S(8) | S(9) | S(11),
  ALTERED           = S(0) | S(1) | S(3) | S(4) | S(6) | S(8) | S(10),
  WHOLE_TONE        = S(0) | S(2) | S(4) | S(6) | S(8) | S(10),
  FIFTH_OF_HARMONIC = S(0) | S(1) | S(4) | S(5) | S(7) | S(8) | S(10),
  BLUES             = S(0) | S(3) | S(5) | S(6) | S(7) | S(10),
};

const RlClassSet rl_scale_major         = IONIAN;
const RlClassSet rl_scale_natural_minor = AEOLIAN;
const RlClassSet rl_scale_blues         = BLUES;

#define R    RL_DEGREE_ROOT
#define D(n) RL_DEGREE_##n

/* Tones as lead sheets count them; tests/core/harmony/tonal checks them against an outside chord
   dictionary. A chord keeps the index, never the text: the order is free. */
static const RlQuality qualities[] = {
  {"", 3, {R, D(3), D(5)}, IONIAN},
  {"m", 3, {R, D(FLAT_3), D(5)}, DORIAN},
  {"7", 4, {R, D(3), D(5), D(FLAT_7)}, MIXOLYDIAN},
  {"maj7", 4, {R, D(3), D(5), D(7)}, IONIAN},
  {"m7", 4, {R, D(FLAT_3), D(5), D(FLAT_7)}, DORIAN},
  {"mMaj7", 4, {R, D(FLAT_3), D(5), D(7)}, MELODIC_MINOR},
  {"6", 4, {R, D(3), D(5), D(6)}, IONIAN},
  {"m6", 4, {R, D(FLAT_3), D(5), D(6)}, DORIAN},
  {"6/9", 5, {R, D(3), D(5), D(6), D(9)}, IONIAN},
  {"9", 5, {R, D(3), D(5), D(FLAT_7), D(9)}, MIXOLYDIAN},
  {"m9", 5, {R, D(FLAT_3), D(5), D(FLAT_7), D(9)}, DORIAN},
  {"maj9", 5, {R, D(3), D(5), D(7), D(9)}, IONIAN},
  {"9sus4", 5, {R, D(4), D(5), D(FLAT_7), D(9)}, MIXOLYDIAN},
  {"11", 5, {R, D(5), D(FLAT_7), D(9), D(11)}, MIXOLYDIAN},
  {"m11", 6, {R, D(FLAT_3), D(5), D(FLAT_7), D(9), D(11)}, DORIAN},
  {"13", 6, {R, D(3), D(5), D(FLAT_7), D(9), D(13)}, MIXOLYDIAN},
  {"maj13", 6, {R, D(3), D(5), D(7), D(9), D(13)}, IONIAN},
  {"7b9", 5, {R, D(3), D(5), D(FLAT_7), D(FLAT_9)}, HALF_WHOLE},
  {"7#9", 5, {R, D(3), D(5), D(FLAT_7), D(SHARP_9)}, HALF_WHOLE},
  {"7b5", 4, {R, D(3), D(FLAT_5), D(FLAT_7)}, WHOLE_TONE},
  {"7#5", 4, {R, D(3), D(SHARP_5), D(FLAT_7)}, WHOLE_TONE},
  {"7#11", 5, {R, D(3), D(5), D(FLAT_7), D(SHARP_11)}, LYDIAN_DOMINANT},
  {"7alt", 4, {R, D(3), D(FLAT_7), D(FLAT_9)}, ALTERED},
  {"m7b5", 4, {R, D(FLAT_3), D(FLAT_5), D(FLAT_7)}, LOCRIAN},
  {"dim", 3, {R, D(FLAT_3), D(FLAT_5)}, WHOLE_HALF},
  {"dim7", 4, {R, D(FLAT_3), D(FLAT_5), D(DOUBLE_FLAT_7)}, WHOLE_HALF},
  {"aug", 3, {R, D(3), D(SHARP_5)}, WHOLE_TONE},
  {"sus2", 3, {R, D(2), D(5)}, MIXOLYDIAN},
  {"sus4", 3, {R, D(4), D(5)}, MIXOLYDIAN},
  {"7sus4", 4, {R, D(4), D(5), D(FLAT_7)}, MIXOLYDIAN},
  {"add9", 4, {R, D(3), D(5), D(9)}, IONIAN},
  {"5", 2, {R, D(5)}, MIXOLYDIAN},
};

enum { QUALITIES = sizeof(qualities) / sizeof(qualities[0]) };

_Static_assert((int)QUALITIES < (int)RL_QUALITY_NONE, "an index is stored in a byte");

/* Other ways to write them. `-` stands for m in front of a number too. */
static const struct {
  const char *written, *name;
} aliases[] = {
  {"-", "m"},       {"-7", "m7"},         {"-6", "m6"},       {"-9", "m9"},
  {"-11", "m11"},   {"M7", "maj7"},       {"M9", "maj9"},     {"M13", "maj13"},
  {"-7b5", "m7b5"}, {"\xC3\xB8", "m7b5"}, {"o", "dim"},       {"o7", "dim7"},
  {"+", "aug"},     {"-Maj7", "mMaj7"},   {"mmaj7", "mMaj7"}, {"mM7", "mMaj7"},
};

int
rl_qualities(void)
{
  return QUALITIES;
}

const RlQuality *
rl_quality(const int index)
{
  assert(index >= 0 && index < QUALITIES);
  return &qualities[index];
}

static int
quality_named(const RlSlice text)
{
  for (int i = 0; i < QUALITIES; ++i) {
    if (rl_slice_is(text, qualities[i].name)) {
      return i;
    }
  }
  return -1;
}

RlDegree
rl_quality_tone(const int index, const int semitones)
{
  const RlQuality *const quality = rl_quality(index);
  for (int i = 0; i < quality->tones; ++i) {
    if (rl_degree_semitones(quality->tone[i]) == rl_pitch_class(semitones)) {
      return quality->tone[i];
    }
  }
  return RL_DEGREES;
}

int
rl_quality_find(const RlSlice text)
{
  for (size_t i = 0; i < sizeof(aliases) / sizeof(aliases[0]); ++i) {
    if (rl_slice_is(text, aliases[i].written)) {
      return quality_named(rl_slice(aliases[i].name));
    }
  }
  return quality_named(text);
}

/* A numeral stands before those it begins with, so that the first match is the longest. */
static const struct {
  const char *numeral[2]; /* upper and lower case */
  int8_t      step;
} numerals[] = {
  {{"VII", "vii"}, 6}, {{"VI", "vi"}, 5}, {{"IV", "iv"}, 3}, {{"V", "v"}, 4},
  {{"III", "iii"}, 2}, {{"II", "ii"}, 1}, {{"I", "i"}, 0},
};

static const char *const degree_numerals[2][7] = {
  {"I", "II", "III", "IV", "V", "VI", "VII"},
  {"i", "ii", "iii", "iv", "v", "vi", "vii"},
};

static const int8_t major_steps[7] = {0, 2, 4, 5, 7, 9, 11};

/* Reads an accidental and a Roman numeral; returns the bytes read, 0 if there is none. */
static size_t
degree_read(const RlSlice text, RlWritten *const written, bool *const lower)
{
  const char    sign = text.length ? text.at[0] : '\0';
  const size_t  skip = sign == '#' || sign == 'b';
  const RlSlice rest = rl_slice_after(text, skip);
  for (size_t i = 0; i < sizeof(numerals) / sizeof(numerals[0]); ++i) {
    for (int small = 0; small < 2; ++small) {
      if (rl_slice_begins(rest, numerals[i].numeral[small])) {
        *written = (RlWritten){false, numerals[i].step, (int8_t)(!skip ? 0 : sign == '#' ? 1 : -1)};
        *lower   = small;
        return skip + strlen(numerals[i].numeral[small]);
      }
    }
  }
  return 0;
}

static size_t
root_read(const RlSlice text, RlWritten *const written, bool *const lower)
{
  RlSpelling   letter;
  const size_t n = rl_spelling_read(text, &letter);
  *lower         = false;
  if (n) {
    *written = (RlWritten){true, letter.letter, letter.alter};
    return n;
  }
  return degree_read(text, written, lower);
}

/* Writes music signs as ASCII, which the tables are in. False if the text is too long to be a
   chord. */
static bool
ascii_signs(const RlSlice text, RlText *const out)
{
  for (RlSlice rest = text; rest.length;) {
    const bool flat  = rl_slice_begins(rest, "\xE2\x99\xAD");
    const bool sharp = rl_slice_begins(rest, "\xE2\x99\xAF");
    if (out->used + 2 > out->size) {
      return false;
    }
    rl_text_add_slice(out, flat ? rl_slice("b") : sharp ? rl_slice("#") : (RlSlice){rest.at, 1});
    rest = rl_slice_after(rest, flat || sharp ? 3 : 1);
  }
  return true;
}

/* The quality written behind a root. A lower-case numeral adds an m unless the quality is minor or
   diminished by itself; `maj` behind it is the minor chord with a major seventh. */
static int
quality_after(const RlSlice text, const bool lower)
{
  static const char *const says_itself[] = {"m", "-", "dim", "o", "\xC3\xB8"};
  char                     buffer[RL_CHORD_SIZE + 1];
  RlText                   full = rl_text_in(buffer, sizeof(buffer));
  bool                     add  = lower;
  for (size_t i = 0; i < sizeof(says_itself) / sizeof(says_itself[0]); ++i) {
    add = add && (!rl_slice_begins(text, says_itself[i]) || rl_slice_begins(text, "maj"));
  }
  rl_text_add(&full, add ? "m" : "");
  rl_text_add_slice(&full, text);
  return rl_quality_find((RlSlice){buffer, full.used});
}

/* Where the bass begins: the last slash, but not the one inside 6/9. */
static size_t
bass_at(const RlSlice text)
{
  size_t at = text.length;
  while (at > 0 && text.at[at - 1] != '/') {
    --at;
  }
  const bool inside =
    at > 1 && text.at[at - 2] == '6' && text.length == at + 1 && text.at[at] == '9';
  return at == 0 || inside ? text.length : at - 1;
}

RlChordStatus
rl_chord_read(const RlSlice text, RlChord *const chord)
{
  char   buffer[RL_CHORD_SIZE];
  RlText plain_text = rl_text_in(buffer, sizeof(buffer));
  bool   lower      = false;
  memset(chord, 0, sizeof(*chord));
  if (rl_slice_is(text, "N.C.")) {
    chord->quality = RL_QUALITY_NONE;
    return RL_CHORD_OK;
  }
  const bool    fits  = ascii_signs(text, &plain_text);
  const RlSlice whole = {buffer, plain_text.used};
  const size_t  n     = root_read(whole, &chord->root, &lower);
  if (!n) {
    return RL_CHORD_NO_ROOT;
  }
  const RlSlice after   = rl_slice_after(whole, n);
  const size_t  slash   = bass_at(after);
  const int     quality = fits ? quality_after((RlSlice){after.at, slash}, lower) : -1;
  if (quality < 0) {
    return RL_CHORD_NO_QUALITY;
  }
  chord->quality     = (uint8_t)quality;
  chord->has_bass    = slash < after.length;
  const RlSlice bass = rl_slice_after(after, slash + 1);
  if (chord->has_bass && (!bass.length || root_read(bass, &chord->bass, &lower) != bass.length)) {
    return RL_CHORD_NO_BASS;
  }
  return RL_CHORD_OK;
}

/* Degrees for letters whose own step would need a double sign in this key. */
static const RlWritten plain_roots[12] = {
  {false, 0, 0}, {false, 1, -1}, {false, 1, 0},  {false, 2, -1}, {false, 2, 0},  {false, 3, 0},
  {false, 3, 1}, {false, 4, 0},  {false, 5, -1}, {false, 5, 0},  {false, 6, -1}, {false, 6, 0},
};

static RlWritten
degree_of(const RlWritten written, const RlKey key)
{
  if (!written.letter) {
    return written;
  }
  const int step     = (written.step - key.tonic.letter + 7) % 7;
  const int sounding = rl_spelling_class((RlSpelling){written.step, written.alter});
  const int interval = rl_pitch_class(sounding - rl_spelling_class(key.tonic));
  const int alter    = rl_pitch_class(interval - major_steps[step] + 6) - 6;
  return alter < -1 || alter > 1 ? plain_roots[interval]
                                 : (RlWritten){false, (int8_t)step, (int8_t)alter};
}

RlChord
rl_chord_in_key(RlChord chord, const RlKey written)
{
  if (chord.quality != RL_QUALITY_NONE) {
    chord.root = degree_of(chord.root, written);
    chord.bass = chord.has_bass ? degree_of(chord.bass, written) : chord.bass;
  }
  return chord;
}

static bool
written_same(const RlWritten a, const RlWritten b)
{
  return a.letter == b.letter && a.step == b.step && a.alter == b.alter;
}

bool
rl_chord_same(const RlChord a, const RlChord b)
{
  return a.quality == b.quality && a.has_bass == b.has_bass && written_same(a.root, b.root) &&
         written_same(a.bass, b.bass);
}

static RlSpelling
sounding(const RlWritten written, const RlKey key)
{
  return written.letter
           ? (RlSpelling){written.step, written.alter}
           : rl_spelling_above(key.tonic, written.step, major_steps[written.step] + written.alter);
}

static RlClassSet
scale_of(const RlHarmony *const harmony, const RlKey key)
{
  const char *const name = qualities[harmony->quality].name;
  const bool fifth = rl_harmony_root(harmony) == rl_pitch_class(rl_spelling_class(key.tonic) + 7);
  return key.minor && fifth && (!strcmp(name, "7") || !strcmp(name, "7b9"))
           ? FIFTH_OF_HARMONIC
           : qualities[harmony->quality].scale;
}

RlHarmony
rl_harmony_of(const RlChord chord, const RlKey key)
{
  RlHarmony harmony = {0};
  if (chord.quality == RL_QUALITY_NONE) {
    return harmony;
  }
  harmony.sounding    = true;
  harmony.has_bass    = chord.has_bass;
  harmony.quality     = chord.quality;
  harmony.root        = sounding(chord.root, key);
  harmony.degree      = degree_of(chord.root, key);
  harmony.bass        = chord.has_bass ? sounding(chord.bass, key) : harmony.root;
  harmony.bass_degree = degree_of(chord.has_bass ? chord.bass : chord.root, key);
  harmony.scale       = scale_of(&harmony, key);
  return harmony;
}

int
rl_harmony_root(const RlHarmony *const harmony)
{
  return rl_spelling_class(harmony->root);
}

void
rl_harmony_name(const RlHarmony *const harmony, RlText *const text)
{
  if (!harmony->sounding) {
    rl_text_add(text, "N.C.");
    return;
  }
  rl_spelling_write(harmony->root, text);
  rl_text_add(text, qualities[harmony->quality].name);
  if (harmony->has_bass) {
    rl_text_add(text, "/");
    rl_spelling_write(harmony->bass, text);
  }
}

static void
degree_write(const RlWritten degree, const bool lower, RlText *const text)
{
  for (int i = degree.alter; i != 0; i += i < 0 ? 1 : -1) {
    rl_text_add(text, i < 0 ? "b" : "#");
  }
  rl_text_add(text, degree_numerals[lower][degree.step]);
}

void
rl_harmony_degree(const RlHarmony *const harmony, RlText *const text)
{
  if (!harmony->sounding) {
    rl_text_add(text, "N.C.");
    return;
  }
  /* Lower case for a minor third; there the m goes without saying, save before Maj7. */
  const RlSlice name  = rl_slice(qualities[harmony->quality].name);
  const bool    minor = rl_slice_begins(name, "m") && !rl_slice_begins(name, "maj");
  const bool    bare  = minor && !rl_slice_begins(name, "mMaj");
  degree_write(harmony->degree, minor || rl_slice_begins(name, "dim"), text);
  rl_text_add_slice(text, rl_slice_after(name, bare));
  if (harmony->has_bass) {
    rl_text_add(text, "/");
    degree_write(harmony->bass_degree, false, text);
  }
}
