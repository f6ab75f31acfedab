/* SPDX-License-Identifier: ISC */
#include "core/harmony/chord.h"

#include <string.h>

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

/* Signs that are read as others: those of music in ASCII, which the tables are in. */
static const struct {
  const char *sign, *as;
} signs[] = {
  {"\xE2\x99\xAD", "b"},        /* flat */
  {"\xE2\x99\xAF", "#"},        /* sharp */
  {"\xC2\xB0", "o"},            /* degree sign */
  {"\xC2\xBA", "o"},            /* ordinal */
  {"\xC3\x98", "\xC3\xB8"},     /* slashed O, small in the tables */
  {"\xE2\x96\xB3", "\xCE\x94"}, /* triangle: Delta */
  {"\xE2\x88\x86", "\xCE\x94"}, /* increment: Delta */
  {"\xE2\x88\x92", "-"},        /* minus */
  {"\xC2\xA0", " "},            /* spaces that do not break */
  {"\xE2\x80\xAF", " "},
};

/* False if the text is too long to be a chord. */
static bool
signs_replace(const RlSlice text, RlText *const out)
{
  for (RlSlice rest = text; rest.length;) {
    size_t i = 0;
    while (i < sizeof(signs) / sizeof(signs[0]) && !rl_slice_begins(rest, signs[i].sign)) {
      ++i;
    }
    const bool    one = i == sizeof(signs) / sizeof(signs[0]);
    const RlSlice as  = one ? (RlSlice){rest.at, 1} : rl_slice(signs[i].as);
    if (out->used + as.length + 1 > out->size) {
      return false;
    }
    memcpy(out->to + out->used, as.at, as.length);
    out->used += as.length;
    out->to[out->used] = '\0';
    rest               = rl_slice_after(rest, one ? 1 : rl_slice(signs[i].sign).length);
  }
  return true;
}

/* Is the slash there part of the quality: 6/9, m/maj7, inside brackets? */
static bool
slash_inside(const RlSlice text, const size_t at)
{
  const RlSlice after    = rl_slice_after(text, at + 1);
  int           brackets = 0;
  for (size_t i = 0; i < at; ++i) {
    brackets += (text.at[i] == '(') - (text.at[i] == ')');
  }
  return brackets > 0 || (at > 0 && text.at[at - 1] == '6' && rl_slice_begins(after, "9")) ||
         rl_slice_begins(after, "ma") || rl_slice_begins(after, "M");
}

/* Where the bass begins: the last slash that is not part of the quality. */
static size_t
bass_at(const RlSlice text)
{
  for (size_t at = text.length; at > 0; --at) {
    if (text.at[at - 1] == '/' && !slash_inside(text, at - 1)) {
      return at - 1;
    }
  }
  return text.length;
}

enum { SECOND = 1, THIRD = 2, FIFTH = 4, SIXTH = 5, SEVENTH = 6 };

/* A V, or a vii on a minor third: a degree after its slash is the one it belongs to. */
static bool
dominant(const RlQuality quality, const RlWritten root)
{
  return !root.letter && !root.alter && root.step == (rl_quality_minor(quality) ? SEVENTH : FIFTH);
}

/* What stands after the slash. */
static bool
slash_read(const RlSlice text, RlChord *const chord)
{
  bool lower = false;
  if (!text.length || root_read(text, &chord->bass, &lower) != text.length) {
    return false;
  }
  const bool of   = !chord->bass.letter && dominant(chord->quality, chord->root);
  chord->of       = of ? (lower ? RL_OF_MINOR : RL_OF_MAJOR) : RL_OF_NONE;
  chord->has_bass = !of;
  return true;
}

static bool
no_chord(const RlSlice text)
{
  static const char *const written[] = {"N.C.", "N.C", "NC"};
  for (size_t i = 0; i < sizeof(written) / sizeof(written[0]); ++i) {
    if (rl_slice_is(text, written[i])) {
      return true;
    }
  }
  return false;
}

RlChordStatus
rl_chord_read(const RlSlice text, RlChord *const chord)
{
  char   buffer[2 * RL_CHORD_SIZE];
  RlText plain_text = rl_text_in(buffer, sizeof(buffer));
  bool   lower      = false;
  memset(chord, 0, sizeof(*chord));
  if (no_chord(text)) {
    return RL_CHORD_OK;
  }
  const bool    fits  = signs_replace(text, &plain_text) && plain_text.used < RL_CHORD_SIZE;
  const RlSlice whole = {buffer, plain_text.used};
  const size_t  n     = root_read(whole, &chord->root, &lower);
  if (!n) {
    return RL_CHORD_NO_ROOT;
  }
  const RlSlice after = rl_slice_after(whole, n);
  const size_t  slash = bass_at(after);
  if (!fits ||
      !rl_quality_read((RlSlice){after.at, slash}, lower, &chord->quality, &chord->spelling)) {
    return RL_CHORD_NO_QUALITY;
  }
  return slash == after.length || slash_read(rl_slice_after(after, slash + 1), chord)
           ? RL_CHORD_OK
           : RL_CHORD_NO_BASS;
}

static bool
written_same(const RlWritten a, const RlWritten b)
{
  return a.letter == b.letter && a.step == b.step && a.alter == b.alter;
}

bool
rl_chord_leads(RlChord *const chord, const RlChord next)
{
  const bool second = !chord->root.letter && !chord->root.alter && chord->root.step == SECOND &&
                      rl_quality_minor(chord->quality);
  const bool leads = second && chord->has_bass && next.of && written_same(chord->bass, next.bass);
  chord->of        = leads ? next.of : chord->of;
  chord->has_bass  = chord->has_bass && !leads;
  return leads;
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

/* A degree of natural minor, measured from major: III, VI and VII lie a semitone lower. bIII, bVI
   and bVII mean the same; nobody lowers them twice. A diminished vii stands on the leading note. */
static RlWritten
minor_degree(RlWritten written, const bool leading)
{
  const bool lowered =
    written.step == THIRD || written.step == SIXTH || (written.step == SEVENTH && !leading);
  const bool moves = !written.letter && lowered && written.alter >= 0;
  written.alter    = (int8_t)(written.alter - moves);
  return written;
}

static bool
diminished(const RlQuality quality)
{
  return rl_quality_minor(quality) && rl_quality_tone(quality, 6) == RL_DEGREE_FLAT_5;
}

RlChord
rl_chord_letters_in_key(RlChord chord, const RlKey written)
{
  if (!chord.quality) {
    return chord;
  }
  chord.root = degree_of(chord.root, written);
  chord.bass = chord.has_bass ? degree_of(chord.bass, written) : chord.bass;
  return chord;
}

RlChord
rl_chord_in_key(RlChord chord, const RlKey written)
{
  if (written.minor && chord.quality) {
    const bool leading = diminished(chord.quality) && !chord.root.alter;
    chord.root         = chord.of ? chord.root : minor_degree(chord.root, leading);
    chord.bass         = chord.of || chord.has_bass ? minor_degree(chord.bass, false) : chord.bass;
  }
  return rl_chord_letters_in_key(chord, written);
}

RlChord
rl_chord_slash_is_bass(RlChord chord)
{
  chord.has_bass = chord.has_bass || chord.of;
  chord.of       = RL_OF_NONE;
  return chord;
}

RlChord
rl_chord_without_bass(RlChord chord)
{
  chord.bass     = chord.of ? chord.bass : (RlWritten){0};
  chord.has_bass = false;
  return chord;
}

bool
rl_chord_same(const RlChord a, const RlChord b)
{
  return a.quality == b.quality && a.has_bass == b.has_bass && a.of == b.of &&
         written_same(a.root, b.root) && written_same(a.bass, b.bass);
}

static RlSpelling
sounding(const RlWritten written, const RlKey key)
{
  return written.letter
           ? (RlSpelling){written.step, written.alter}
           : rl_spelling_above(key.tonic, written.step, major_steps[written.step] + written.alter);
}

/* Seventh chords with a major third and a perfect fifth, a flat 9 or flat 13 on top. */
static bool
plain_dominant(const RlQuality quality)
{
  const RlQuality extra = 1U << RL_DEGREE_FLAT_9 | 1U << RL_DEGREE_FLAT_13;
  return (quality & ~extra) ==
         (1U << RL_DEGREE_ROOT | 1U << RL_DEGREE_3 | 1U << RL_DEGREE_5 | 1U << RL_DEGREE_FLAT_7);
}

static RlClassSet
scale_of(const RlHarmony *const harmony, const RlKey key)
{
  const bool fifth = rl_harmony_root(harmony) == rl_pitch_class(rl_spelling_class(key.tonic) + 7);
  return key.minor && fifth && plain_dominant(harmony->quality)
           ? rl_scale_fifth_of_harmonic
           : rl_quality_scale(harmony->quality);
}

RlHarmony
rl_harmony_of(const RlChord chord, const RlKey key)
{
  RlHarmony harmony = {0};
  if (!chord.quality) {
    return harmony;
  }
  const RlKey home    = chord.of ? (RlKey){sounding(chord.bass, key), false} : key;
  harmony.sounding    = true;
  harmony.has_bass    = chord.has_bass;
  harmony.minor_key   = key.minor;
  harmony.of          = chord.of;
  harmony.quality     = chord.quality;
  harmony.spelling    = chord.spelling.base ? chord.spelling : rl_quality_spell(chord.quality);
  harmony.root        = sounding(chord.root, home);
  harmony.degree      = degree_of(chord.root, home);
  harmony.bass        = chord.has_bass ? sounding(chord.bass, key) : harmony.root;
  harmony.bass_degree = degree_of(chord.has_bass || chord.of ? chord.bass : chord.root, key);
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
  rl_quality_spelling_write(harmony->spelling, text);
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

/* In a minor key III, VI and VII have a sign either way, so that nobody must know the rule; above
   the raised one the degree goes by another name. */
static RlWritten
signed_degree(RlWritten degree, const bool minor_key)
{
  if (!minor_key || minor_degree((RlWritten){false, degree.step, 0}, false).alter == 0 ||
      degree.alter < 0) {
    return degree;
  }
  if (degree.alter > 0) {
    return plain_roots[rl_pitch_class(major_steps[degree.step] + degree.alter)];
  }
  degree.alter = 1;
  return degree;
}

void
rl_harmony_degree(const RlHarmony *const harmony, RlText *const text)
{
  if (!harmony->sounding) {
    rl_text_add(text, "N.C.");
    return;
  }
  const RlWritten root = signed_degree(harmony->degree, harmony->minor_key && !harmony->of);
  degree_write(root, rl_quality_spelling_lower(harmony->spelling), text);
  rl_quality_spelling_write_behind(harmony->spelling, text);
  if (harmony->of) {
    rl_text_add(text, "/");
    degree_write(signed_degree(harmony->bass_degree, harmony->minor_key),
                 harmony->of == RL_OF_MINOR, text);
  } else if (harmony->has_bass) {
    rl_text_add(text, "/");
    if (dominant(harmony->quality, root)) {
      rl_spelling_write(harmony->bass, text);
    } else {
      degree_write(signed_degree(harmony->bass_degree, harmony->minor_key), false, text);
    }
  }
}
