/* SPDX-License-Identifier: ISC */
/* Chords: reading, tones, scales, names in every key. Sources: core/chart/CHART.md
   (what may be written), core/harmony/CHORDS.md (spelling, scales, degrees). Tones of chords: those
   of CHORDS.md, common practice, no source; compared with an outside dictionary in tonal/. */
#include "core/harmony/chord.h"

#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <setjmp.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

#define FLAT            "\xE2\x99\xAD"
#define SHARP           "\xE2\x99\xAF"
#define HALF_DIMINISHED "\xC3\xB8"

enum { ROOM = 64 };

/* Every way a quality may be written (CHORDS.md), the name it is printed by, its tones,
   and its scale as degrees of a major scale. */
static const struct {
  const char *written, *name, *tones, *scale;
} qualities[] = {
  {"", "", "R 3 5", "1 2 3 4 5 6 7"},
  {"m", "m", "R b3 5", "1 2 b3 4 5 6 b7"},
  {"-", "m", "R b3 5", "1 2 b3 4 5 6 b7"},
  {"7", "7", "R 3 5 b7", "1 2 3 4 5 6 b7"},
  {"maj7", "maj7", "R 3 5 7", "1 2 3 4 5 6 7"},
  {"M7", "maj7", "R 3 5 7", "1 2 3 4 5 6 7"},
  {"m7", "m7", "R b3 5 b7", "1 2 b3 4 5 6 b7"},
  {"mMaj7", "mMaj7", "R b3 5 7", "1 2 b3 4 5 6 7"},
  {"6", "6", "R 3 5 6", "1 2 3 4 5 6 7"},
  {"m6", "m6", "R b3 5 6", "1 2 b3 4 5 6 b7"},
  {"6/9", "6/9", "R 3 5 6 9", "1 2 3 4 5 6 7"},
  {"9", "9", "R 3 5 b7 9", "1 2 3 4 5 6 b7"},
  {"m9", "m9", "R b3 5 b7 9", "1 2 b3 4 5 6 b7"},
  {"maj9", "maj9", "R 3 5 7 9", "1 2 3 4 5 6 7"},
  {"9sus4", "9sus4", "R 4 5 b7 9", "1 2 3 4 5 6 b7"},
  {"11", "11", "R 5 b7 9 11", "1 2 3 4 5 6 b7"},
  {"m11", "m11", "R b3 5 b7 9 11", "1 2 b3 4 5 6 b7"},
  {"13", "13", "R 3 5 b7 9 13", "1 2 3 4 5 6 b7"},
  {"maj13", "maj13", "R 3 5 7 9 13", "1 2 3 4 5 6 7"},
  {"7b9", "7b9", "R 3 5 b7 b9", "1 b2 b3 3 b5 5 6 b7"},
  {"7#9", "7#9", "R 3 5 b7 #9", "1 b2 b3 3 b5 5 6 b7"},
  {"7b5", "7b5", "R 3 b5 b7", "1 2 3 #4 #5 b7"},
  {"7#5", "7#5", "R 3 #5 b7", "1 2 3 #4 #5 b7"},
  {"7#11", "7#11", "R 3 5 b7 #11", "1 2 3 #4 5 6 b7"},
  {"7alt", "7alt", "R 3 b7 b9", "1 b2 b3 b4 b5 b6 b7"},
  {"m7b5", "m7b5", "R b3 b5 b7", "1 b2 b3 4 b5 b6 b7"},
  {HALF_DIMINISHED, "m7b5", "R b3 b5 b7", "1 b2 b3 4 b5 b6 b7"},
  {"dim", "dim", "R b3 b5", "1 2 b3 4 b5 b6 6 7"},
  {"o", "dim", "R b3 b5", "1 2 b3 4 b5 b6 6 7"},
  {"dim7", "dim7", "R b3 b5 bb7", "1 2 b3 4 b5 b6 6 7"},
  {"o7", "dim7", "R b3 b5 bb7", "1 2 b3 4 b5 b6 6 7"},
  {"aug", "aug", "R 3 #5", "1 2 3 #4 #5 b7"},
  {"+", "aug", "R 3 #5", "1 2 3 #4 #5 b7"},
  {"sus2", "sus2", "R 2 5", "1 2 3 4 5 6 b7"},
  {"sus4", "sus4", "R 4 5", "1 2 3 4 5 6 b7"},
  {"7sus4", "7sus4", "R 4 5 b7", "1 2 3 4 5 6 b7"},
  {"add9", "add9", "R 3 5 9", "1 2 3 4 5 6 7"},
  {"5", "5", "R 5", "1 2 3 4 5 6 b7"},
  /* bases with alterations, as they are listed there too */
  {"madd9", "madd9", "R b3 5 9", "1 2 b3 4 5 6 b7"},
  {"m6/9", "m6/9", "R b3 5 6 9", "1 2 b3 4 5 6 b7"},
  {"m9b5", "m9b5", "R b3 b5 b7 9", "1 2 b3 4 b5 b6 b7"},
  {"m13", "m13", "R b3 5 b7 9 13", "1 2 b3 4 5 6 b7"},
  {"mMaj9", "mMaj9", "R b3 5 7 9", "1 2 b3 4 5 6 7"},
  {"maj7#11", "maj7#11", "R 3 5 7 #11", "1 2 3 #4 5 6 7"},
  {"maj7#5", "maj7#5", "R 3 #5 7", "1 2 3 #4 #5 6 7"},
  {"maj7b5", "maj7b5", "R 3 b5 7", "1 2 3 #4 5 6 7"},
  {"9#11", "9#11", "R 3 5 b7 9 #11", "1 2 3 #4 5 6 b7"},
  {"13b9", "13b9", "R 3 5 b7 b9 13", "1 b2 b3 3 b5 5 6 b7"},
  {"13#11", "13#11", "R 3 5 b7 9 #11 13", "1 2 3 #4 5 6 b7"},
  {"7b13", "7b13", "R 3 5 b7 b13", "1 2 3 4 5 b6 b7"},
  {"7#5#9", "7#5#9", "R 3 #5 b7 #9", "1 b2 b3 b4 b5 b6 b7"},
  {"7b5b9", "7b5b9", "R 3 b5 b7 b9", "1 b2 b3 b4 b5 b6 b7"},
  {"7b9#9", "7b9#9", "R 3 5 b7 b9 #9", "1 b2 b3 3 b5 5 6 b7"},
  {"7b9b13", "7b9b13", "R 3 5 b7 b9 b13", "1 b2 3 4 5 b6 b7"},
  {"7#9b13", "7#9b13", "R 3 5 b7 #9 b13", "1 b2 b3 3 b5 5 b6 b7"},
  {"7sus4b9", "7sus4b9", "R 4 5 b7 b9", "1 b2 b3 4 5 b6 b7"},
  {"13sus4", "13sus4", "R 4 5 b7 9 13", "1 2 3 4 5 6 b7"},
  {"7no3", "7no3", "R 5 b7", "1 2 3 4 5 6 b7"},
  {"m7#5", "m7#5", "R b3 #5 b7", "1 2 b3 4 5 b6 b7"},
  {"(b5)", "(b5)", "R 3 b5", "1 2 3 #4 5 6 7"},
};

/* What is written for them on lead sheets: all of these are read, and sound as those they stand
   beside. */
static const struct {
  const char *written, *name;
} spellings[] = {
  {HALF_DIMINISHED "7", "m7b5"},
  {"\xC2\xB0"
   "7",
   "dim7"},
  {"\xC2\xB0", "dim"},
  {"maj", ""},
  {"M", ""},
  {"ma7", "maj7"},
  {"\xCE\x94"
   "7",
   "maj7"},
  {"\xE2\x96\xB3"
   "7",
   "maj7"},
  {"\xCE\x94", "maj7"},
  {"min", "m"},
  {"mi7", "m7"},
  {"7sus", "7sus4"},
  {"sus", "sus4"},
  {"9sus", "9sus4"},
  {"69", "6/9"},
  {"7+", "7#5"},
  {"+7", "7#5"},
  {"aug7", "7#5"},
  {"7(b9)", "7b9"},
  {"7(#9,b13)", "7#9b13"},
  {"7-9", "7b9"},
  {"7+9", "7#9"},
  {"7-5", "7b5"},
  {"m7(b5)", "m7b5"},
  {"min7b5", "m7b5"},
  {"m(maj7)", "mMaj7"},
  {"-maj7", "mMaj7"},
  {"(add9)", "add9"},
  {"add2", "add9"},
  {"2", "add9"},
  {"13b9", "13b9"},
  {"9#11", "9#11"},
  {"7b13", "7b13"},
  {"7#5#9", "7#5#9"},
  {"7b9b13", "7b9b13"},
  {"maj7#11", "maj7#11"},
  {"maj7#5", "maj7#5"},
  {"m69", "m6/9"},
  {"m9b5", "m9b5"},
  {"m13", "m13"},
  {"madd9", "madd9"},
  {"13sus4", "13sus4"},
  {"7no3", "7no3"},
  {"7(#9, b13)", "7#9b13"},
  {"7(\xE2\x99\xAF"
   "9,\xE2\x99\xAD"
   "13)",
   "7#9b13"},
  {"m/maj7", "mMaj7"},
  {"mM9", "mMaj9"},
  {"+maj7", "maj7#5"},
  {"alt", "7alt"},
  {"7omit3", "7no3"},
  {"6(9)", "6/9"},
  {"m7(11)", "m7add11"},
};

/* Semitones of a degree written against a major scale, without core's tables. */
static int
semitones_of(const char *word)
{
  static const int major[7] = {0, 2, 4, 5, 7, 9, 11};
  int              alter    = 0;
  int              number   = 0;
  for (; *word == 'b' || *word == '#'; ++word) {
    alter += *word == '#' ? 1 : -1;
  }
  for (; *word >= '0' && *word <= '9'; ++word) {
    number = number * 10 + (*word - '0');
  }
  return *word == 'R' ? 0 : major[(number - 1) % 7] + alter;
}

/* The next word of a list parted by spaces, copied to `word`; NULL at the end. */
static const char *
next_word(const char *list, char word[8])
{
  size_t n = 0;
  for (; *list == ' '; ++list) {
  }
  for (; list[n] && list[n] != ' '; ++n) {
    word[n] = list[n];
  }
  word[n] = '\0';
  return n ? list + n : NULL;
}

static unsigned
set_of(const char *list)
{
  char     word[8];
  unsigned set = 0;
  while ((list = next_word(list, word))) {
    set |= 1U << (unsigned)semitones_of(word);
  }
  return set;
}

static RlChord
read(const char *const text)
{
  RlChord             chord;
  const RlChordStatus status = rl_chord_read(rl_slice(text), &chord);
  if (status != RL_CHORD_OK) {
    fail_msg("`%s` is not read: status %d", text, (int)status);
  }
  return chord;
}

static RlKey
key_of(const char *const text)
{
  RlKey key;
  if (!rl_key_read(rl_slice(text), &key)) {
    fail_msg("`%s` is no key", text);
  }
  return key;
}

static const char *
name_in(const RlChord chord, const RlKey key, char buffer[ROOM])
{
  const RlHarmony harmony = rl_harmony_of(chord, key);
  RlText          text    = rl_text_in(buffer, ROOM);
  rl_harmony_name(&harmony, &text);
  return buffer;
}

static const char *
degree_in(const RlChord chord, const RlKey key, char buffer[ROOM])
{
  const RlHarmony harmony = rl_harmony_of(chord, key);
  RlText          text    = rl_text_in(buffer, ROOM);
  rl_harmony_degree(&harmony, &text);
  return buffer;
}

static const char *
quality_name(const RlQuality quality)
{
  static char buffers[4][ROOM];
  static int  turn;
  char *const buffer = buffers[turn++ % 4];
  RlText      text   = rl_text_in(buffer, ROOM);
  rl_quality_name(quality, &text);
  return buffer;
}

static const char *
quality_of(const char *const text)
{
  return quality_name(read(text).quality);
}

/* `R 3 5 b7` */
static const char *
tones_of(const RlQuality quality, char buffer[ROOM])
{
  RlDegree  tone[RL_DEGREES];
  RlText    text  = rl_text_in(buffer, ROOM);
  const int tones = rl_quality_tones(quality, tone);
  for (int t = 0; t < tones; ++t) {
    rl_text_add(&text, t ? " " : "");
    rl_text_add(&text, rl_degree_name(tone[t]));
  }
  return buffer;
}

static void
degrees_have_their_names_and_semitones(void **state) /* CHORDS.md */
{
  (void)state;
  static const struct {
    RlDegree    degree;
    const char *name;
    RlFunction  function;
  } all[] = {
    {RL_DEGREE_ROOT, "R", RL_FUNCTION_ROOT},
    {RL_DEGREE_FLAT_9, "b9", RL_FUNCTION_OTHER},
    {RL_DEGREE_9, "9", RL_FUNCTION_OTHER},
    {RL_DEGREE_2, "2", RL_FUNCTION_THIRD},
    {RL_DEGREE_FLAT_3, "b3", RL_FUNCTION_THIRD},
    {RL_DEGREE_SHARP_9, "#9", RL_FUNCTION_OTHER},
    {RL_DEGREE_3, "3", RL_FUNCTION_THIRD},
    {RL_DEGREE_11, "11", RL_FUNCTION_OTHER},
    {RL_DEGREE_4, "4", RL_FUNCTION_THIRD},
    {RL_DEGREE_SHARP_11, "#11", RL_FUNCTION_OTHER},
    {RL_DEGREE_FLAT_5, "b5", RL_FUNCTION_FIFTH},
    {RL_DEGREE_5, "5", RL_FUNCTION_FIFTH},
    {RL_DEGREE_SHARP_5, "#5", RL_FUNCTION_FIFTH},
    {RL_DEGREE_FLAT_13, "b13", RL_FUNCTION_OTHER},
    {RL_DEGREE_13, "13", RL_FUNCTION_OTHER},
    {RL_DEGREE_6, "6", RL_FUNCTION_OTHER},
    {RL_DEGREE_DOUBLE_FLAT_7, "bb7", RL_FUNCTION_SEVENTH},
    {RL_DEGREE_FLAT_7, "b7", RL_FUNCTION_SEVENTH},
    {RL_DEGREE_7, "7", RL_FUNCTION_SEVENTH},
  };
  assert_int_equal(RL_DEGREES, COUNT(all));
  for (size_t i = 0; i < COUNT(all); ++i) {
    assert_int_equal(all[i].degree, i);
    assert_string_equal(rl_degree_name(all[i].degree), all[i].name);
    assert_int_equal(rl_degree_semitones(all[i].degree), semitones_of(all[i].name));
    assert_int_equal(rl_degree_function(all[i].degree), all[i].function);
  }
}

static void
plain_degrees_go_up_by_half_steps_as_listed(void **state) /* CHORDS.md, Names */
{
  (void)state;
  static const char *const row[12] = {"R",   "b9", "9",   "b3", "3",  "11",
                                      "#11", "5",  "b13", "13", "b7", "7"};
  for (int n = -24; n < 36; ++n) {
    assert_string_equal(rl_degree_name(rl_degree_plain(n)), row[(n + 24) % 12]);
  }
}

static void
the_scales_of_a_key_are_the_common_ones(void **state) /* common practice, no source */
{
  (void)state;
  assert_int_equal(rl_scale_major, set_of("1 2 3 4 5 6 7"));
  assert_int_equal(rl_scale_natural_minor, set_of("1 2 b3 4 5 b6 b7"));
  assert_int_equal(rl_scale_blues, set_of("1 b3 4 b5 5 b7"));
  for (int n = -24; n < 24; ++n) {
    assert_int_equal(rl_class_set_has(rl_scale_blues, n), "x..x.xxx..x."[(n + 24) % 12] == 'x');
  }
}

static void
every_written_quality_has_the_tones_and_scale_it_should(void **state)
{
  (void)state;
  for (size_t i = 0; i < COUNT(qualities); ++i) {
    char            tones[ROOM];
    const RlQuality quality = rl_quality_find(rl_slice(qualities[i].written));
    if (quality == RL_QUALITY_NONE) {
      fail_msg("no quality `%s`", qualities[i].written);
    }
    tones_of(quality, tones);
    if (strcmp(quality_name(quality), qualities[i].name) != 0 ||
        strcmp(tones, qualities[i].tones) != 0) {
      fail_msg("`%s` is `%s` with %s; expected `%s` with %s", qualities[i].written,
               quality_name(quality), tones, qualities[i].name, qualities[i].tones);
    }
    if (rl_quality_scale(quality) != set_of(qualities[i].scale)) {
      fail_msg("the scale of `%s` is not %s", qualities[i].written, qualities[i].scale);
    }
  }
}

static void
the_listed_qualities_have_each_a_name_of_their_own_and_are_tested_here(void **state)
{
  (void)state;
  for (int i = 0; i < rl_qualities(); ++i) {
    size_t listed = 0;
    for (size_t q = 0; q < COUNT(qualities); ++q) {
      listed += !strcmp(qualities[q].written, quality_name(rl_quality(i)));
    }
    if (listed != 1) {
      fail_msg("`%s` stands %zu times in this table", quality_name(rl_quality(i)), listed);
    }
    assert_int_equal(rl_quality_find(rl_slice(quality_name(rl_quality(i)))), rl_quality(i));
  }
}

/* Every base, with up to three alterations behind it. */
static void
whatever_is_read_reads_back_from_its_name_and_lies_in_its_scale(void **state)
{
  (void)state;
  static const char *const heads[] = {
    "",   "m", "7",   "maj7", "m7",   "6",   "m6",  "69",  "9",   "m9",    "11",   "m11",
    "13", "5", "m13", "dim",  "dim7", "aug", "mM7", "alt", "sus", "7sus2", "add9", "maj13"};
  static const char *const tails[] = {"",    "b5",  "#5",  "b9",    "#9",    "#11",  "b13", "add9",
                                      "sus", "no3", "no5", "add11", "add13", "maj7", "-5",  "+"};
  int                      read_in_all = 0;
  for (size_t i = 0; i < COUNT(heads) * 4096; ++i) {
    char text[ROOM];
    char name[ROOM];
    snprintf(text, sizeof(text), "C%s(%s)%s%s", heads[i / 4096], tails[1 + i % 15],
             tails[i / 16 % 16], tails[i / 256 % 16]);
    RlChord chord;
    RlChord back;
    if (rl_chord_read(rl_slice(text), &chord) != RL_CHORD_OK) {
      continue;
    }
    ++read_in_all;
    const RlClassSet classes = rl_quality_classes(chord.quality);
    assert_int_equal(classes & ~rl_quality_scale(chord.quality), 0);
    name_in(chord, key_of("C"), name);
    if (rl_chord_read(rl_slice(name), &back) != RL_CHORD_OK || !rl_chord_same(chord, back)) {
      fail_msg("`%s` is named `%s`, which is another chord", text, name);
    }
    const char *const degree = degree_in(rl_chord_in_key(chord, key_of("C")), key_of("C"), name);
    if (rl_chord_read(rl_slice(degree), &back) != RL_CHORD_OK || back.quality != chord.quality) {
      fail_msg("`%s` is the degree `%s`, which is another chord", text, degree);
    }
  }
  assert_true(read_in_all > 5000);
}

/* A scale that leaves out a tone of its own chord is a slip in one of the two tables. */
static void
every_tone_of_a_chord_lies_in_its_scale(void **state)
{
  (void)state;
  for (int i = 0; i < rl_qualities(); ++i) {
    const RlQuality quality = rl_quality(i);
    assert_int_equal(rl_quality_classes(quality) & ~rl_quality_scale(quality), 0);
  }
}

static void
every_written_quality_is_read_after_a_letter_and_after_a_degree(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    bool        letter;
    int         step, alter;
  } roots[] = {
    {"C", true, 0, 0},          {"F#", true, 3, 1},       {"Bb", true, 6, -1},
    {"B" FLAT, true, 6, -1},    {"C" SHARP, true, 0, 1},  {"A", true, 5, 0},
    {"I", false, 0, 0},         {"II", false, 1, 0},      {"III", false, 2, 0},
    {"IV", false, 3, 0},        {"V", false, 4, 0},       {"VI", false, 5, 0},
    {"VII", false, 6, 0},       {"bVII", false, 6, -1},   {"#IV", false, 3, 1},
    {FLAT "III", false, 2, -1}, {SHARP "I", false, 0, 1}, {"bV", false, 4, -1},
  };
  for (size_t r = 0; r < COUNT(roots); ++r) {
    for (size_t q = 0; q < COUNT(qualities); ++q) {
      char text[ROOM];
      snprintf(text, sizeof(text), "%s%s", roots[r].text, qualities[q].written);
      const RlChord chord = read(text);
      if (strcmp(quality_name(chord.quality), qualities[q].name) != 0 || chord.has_bass ||
          chord.root.letter != roots[r].letter || chord.root.step != roots[r].step ||
          chord.root.alter != roots[r].alter) {
        fail_msg("`%s` is read as quality `%s` on step %d, sign %d", text,
                 quality_name(chord.quality), chord.root.step, chord.root.alter);
      }
    }
  }
}

/* After letters and after degrees; a degree's capital leaves the quality alone. */
static void
what_lead_sheets_write_is_read_and_shown_in_one_spelling(void **state)
{
  (void)state;
  static const char *const roots[] = {"C", "F#", ("B" FLAT), "I", "bVII", "IV"};
  for (size_t r = 0; r < COUNT(roots); ++r) {
    for (size_t i = 0; i < COUNT(spellings); ++i) {
      char text[ROOM];
      snprintf(text, sizeof(text), "%s%s", roots[r], spellings[i].written);
      if (strcmp(quality_of(text), spellings[i].name) != 0) {
        fail_msg("`%s` is shown as `%s`, expected `%s`", text, quality_of(text), spellings[i].name);
      }
    }
  }
}

static void
no_two_tones_of_a_chord_are_the_same_pitch(void **state)
{
  (void)state;
  static const char *const bad[] = {"Cm7#9", "C7b5#11", "C7#5b13", "C6add13",
                                    "C7()",  "C7(b9",   "C7b9)",   "C7#9#"};
  for (size_t i = 0; i < COUNT(bad); ++i) {
    RlChord chord;
    assert_int_equal(rl_chord_read(rl_slice(bad[i]), &chord), RL_CHORD_NO_QUALITY);
  }
}

/* CHART.md: after the slash of a V, or of a vii on a minor third, a degree is the one the chord
   belongs to; a letter, and any degree after another chord, is a bass. */
static void
a_dominant_belongs_to_the_degree_after_its_slash(void **state)
{
  (void)state;
  static const struct {
    const char *text, *key, *name, *degree;
  } cases[] = {
    {"V7/V", "G", "A7", "V7/V"},
    {"V7/ii", "G", "E7", "V7/ii"},
    {"viio7/V", "G", "C#dim7", "viidim7/V"},
    {"V/V", "Eb", "F", "V/V"},
    {"V7/IV", "C", "C7", "V7/IV"},
    {"V7/bVII", "D", "G7", "V7/bVII"},
    {"V7/VI", "Am", "C7", "V7/bVI"},
    {"vii" HALF_DIMINISHED "7/vi", "F", "C#m7b5", "vii7b5/vi"},
    {"I/III", "G", "G/B", "I/III"},
    {"V7/F#", "G", "D7/F#", "V7/F#"},
    {"v7/I", "G", "Dm7/G", "v7/I"},
    {"bVII7/IV", "G", "F7/C", "bVII7/IV"},
    {"VII7/III", "G", "F#7/B", "VII7/III"},
    {"ii7/V", "G", "Am7/D", "ii7/V"},
    {"D7/V", "G", "D7/D", "V7/D"},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char          buffer[ROOM];
    const RlKey   key   = key_of(cases[i].key);
    const RlChord chord = rl_chord_in_key(read(cases[i].text), key);
    assert_string_equal(name_in(chord, key, buffer), cases[i].name);
    assert_string_equal(degree_in(chord, key, buffer), cases[i].degree);
    const RlChord back = rl_chord_in_key(read(buffer), key);
    assert_true(rl_chord_same(chord, back));
    const RlChord bass = rl_chord_slash_is_bass(read(cases[i].text));
    assert_true(bass.has_bass && !bass.of);
  }
}

/* CHART.md: degrees of a minor key count from natural minor. */
static void
degrees_of_a_minor_key_count_from_natural_minor(void **state)
{
  (void)state;
  static const struct {
    const char *text, *name, *degree;
  } cases[] = {
    {"VI7", "F7", "bVI7"},
    {"bVI7", "F7", "bVI7"},
    {"#VI7", "F#7", "#VI7"},
    {"III", "C", "bIII"},
    {"VII", "G", "bVII"},
    {"#VII", "G#", "#VII"},
    {"#viidim7", "G#dim7", "#viidim7"},
    {"viidim7", "G#dim7", "#viidim7"},
    {"bviidim7", "Gdim7", "bviidim7"},
    {"i/VII", "Am/G", "i/bVII"},
    {"ii" HALF_DIMINISHED, "Bm7b5", "ii7b5"},
    {"bII", "Bb", "bII"},
    {"iv", "Dm", "iv"},
    {"V7", "E7", "V7"},
    {"v7", "Em7", "v7"},
    {"#IVo", "D#dim", "#ivdim"},
    {"F#m7b5", "F#m7b5", "#vi7b5"},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char          buffer[ROOM];
    const RlKey   key   = key_of("Am");
    const RlChord chord = rl_chord_in_key(read(cases[i].text), key);
    assert_string_equal(name_in(chord, key, buffer), cases[i].name);
    assert_string_equal(degree_in(chord, key, buffer), cases[i].degree);
    assert_true(rl_chord_same(chord, rl_chord_in_key(read(buffer), key)));
  }
}

static void
the_signs_of_music_are_read_inside_a_quality_too(void **state)
{
  (void)state;
  assert_string_equal(quality_of("G7" FLAT "9"), "7b9");
  assert_string_equal(quality_of("G7" SHARP "11"), "7#11");
  assert_string_equal(quality_of("B" FLAT "m7" FLAT "5"), "m7b5");
  assert_string_equal(quality_of("ii" HALF_DIMINISHED "/" FLAT "VI"), "m7b5");
}

/* CHORDS.md: `-` is m. In front of a number too: what users expect. */
static void
a_dash_stands_for_m_in_front_of_a_number_too(void **state)
{
  (void)state;
  static const char *const pairs[][2] = {{"C-7", "m7"},   {"C-6", "m6"},     {"C-9", "m9"},
                                         {"C-11", "m11"}, {"C-7b5", "m7b5"}, {"ii-7", "m7"},
                                         {"II-7", "m7"}};
  for (size_t i = 0; i < COUNT(pairs); ++i) {
    assert_string_equal(quality_of(pairs[i][0]), pairs[i][1]);
  }
}

/* CHART.md, Chords: lower case adds m unless m, -, dim, o, ø or mMaj7 follows. */
static void
a_lower_case_numeral_makes_the_chord_minor(void **state)
{
  (void)state;
  static const char *const lower[7] = {"i", "ii", "iii", "iv", "v", "vi", "vii"};
  static const struct {
    const char *after, *quality;
  } cases[] = {
    {"", "m"},         {"m", "m"},         {"-", "m"},
    {"7", "m7"},       {"m7", "m7"},       {"-7", "m7"},
    {"6", "m6"},       {"m6", "m6"},       {"9", "m9"},
    {"m9", "m9"},      {"11", "m11"},      {"m11", "m11"},
    {"7b5", "m7b5"},   {"m7b5", "m7b5"},   {HALF_DIMINISHED, "m7b5"},
    {"dim", "dim"},    {"o", "dim"},       {"dim7", "dim7"},
    {"o7", "dim7"},    {"mMaj7", "mMaj7"}, {"Maj7", "mMaj7"},
    {"maj7", "mMaj7"}, /* not named there; a major chord would surprise */
  };
  for (int step = 0; step < 7; ++step) {
    for (int alter = -1; alter <= 1; ++alter) {
      for (size_t i = 0; i < COUNT(cases); ++i) {
        char text[ROOM];
        snprintf(text, sizeof(text), "%s%s%s",
                 alter < 0 ? "b"
                 : alter   ? "#"
                           : "",
                 lower[step], cases[i].after);
        const RlChord chord = read(text);
        if (chord.root.letter || chord.root.step != step || chord.root.alter != alter ||
            strcmp(quality_name(chord.quality), cases[i].quality) != 0) {
          fail_msg("`%s` is read as quality `%s` on step %d, sign %d; expected `%s`", text,
                   quality_name(chord.quality), chord.root.step, chord.root.alter,
                   cases[i].quality);
        }
      }
    }
  }
}

static void
an_upper_case_numeral_leaves_the_quality_alone(void **state)
{
  (void)state;
  assert_string_equal(quality_of("II"), "");
  assert_string_equal(quality_of("II7"), "7");
  assert_string_equal(quality_of("IIm7"), "m7");
  assert_string_equal(quality_of("VIIdim"), "dim");
  assert_string_equal(quality_of("Vsus4"), "sus4");
}

static void
a_minor_numeral_takes_no_major_quality(void **state) /* there is no m7sus4, maug, m5 … */
{
  (void)state;
  static const char *const bad[] = {"v7sus4", "isus2", "i+", "iaug", "i5", "v7alt"};
  for (size_t i = 0; i < COUNT(bad); ++i) {
    RlChord chord;
    assert_int_equal(rl_chord_read(rl_slice(bad[i]), &chord), RL_CHORD_NO_QUALITY);
  }
}

static void
six_nine_is_told_from_a_bass(void **state)
{
  (void)state;
  static const struct {
    const char *text, *quality;
    bool        bass;
    const char *name_in_g;
  } cases[] = {
    {"C6/9", "6/9", false, "C6/9"},
    {"C6/9/E", "6/9", true, "C6/9/E"},
    {"I6/9", "6/9", false, "G6/9"},
    {"I6/9/V", "6/9", true, "G6/9/D"},
    {"C6/E", "6", true, "C6/E"},
    {"IV6/I", "6", true, "C6/G"},
    {"C9/E", "9", true, "C9/E"},
    {"bVII6/9/bIII", "6/9", true, "F6/9/Bb"},
    {"Bb6/9/"
     "B" FLAT,
     "6/9", true, "Bb6/9/Bb"},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char          buffer[ROOM];
    const RlChord chord = read(cases[i].text);
    assert_string_equal(quality_name(chord.quality), cases[i].quality);
    assert_int_equal(chord.has_bass, cases[i].bass);
    assert_string_equal(name_in(chord, key_of("G"), buffer), cases[i].name_in_g);
  }
}

static void
a_bass_is_a_letter_or_a_degree(void **state)
{
  (void)state;
  static const struct {
    const char *text, *in_g, *degree_in_g;
  } cases[] = {
    {"C/E", "C/E", "IV/VI"},
    {"C/E" FLAT, "C/Eb", "IV/bVI"},
    {"I/III", "G/B", "I/III"},
    {"I7/bVII", "G7/F", "I7/bVII"},
    {"ii7/V", "Am7/D", "ii7/V"},
    {"IV/F#", "C/F#", "IV/VII"},
    {"G/V", "G/D", "I/V"},
    {"ii7/" SHARP "IV", "Am7/C#", "ii7/#IV"},
    {"viidim/G", "F#dim/G", "viidim/G"},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char          buffer[ROOM];
    const RlChord chord = read(cases[i].text);
    assert_true(chord.has_bass);
    assert_string_equal(name_in(chord, key_of("G"), buffer), cases[i].in_g);
    assert_string_equal(degree_in(chord, key_of("G"), buffer), cases[i].degree_in_g);
  }
}

static void
the_lamps_follow_the_chord_and_not_its_bass(void **state) /* CHART.md, Chords */
{
  (void)state;
  const RlHarmony with    = rl_harmony_of(read("C7/E"), key_of("C"));
  const RlHarmony without = rl_harmony_of(read("C7"), key_of("C"));
  assert_int_equal(rl_harmony_root(&with), 0);
  assert_int_equal(with.scale, without.scale);
  assert_int_equal(with.quality, without.quality);
  assert_true(with.has_bass);
  assert_false(without.has_bass);
}

static void
no_chord_has_no_sound_and_one_name(void **state)
{
  (void)state;
  char          buffer[ROOM];
  const RlChord chord = read("N.C.");
  assert_int_equal(chord.quality, RL_QUALITY_NONE);
  assert_false(rl_harmony_of(chord, key_of("G")).sounding);
  assert_string_equal(name_in(chord, key_of("G"), buffer), "N.C.");
  assert_string_equal(degree_in(chord, key_of("F#m"), buffer), "N.C.");
  assert_true(rl_chord_same(chord, rl_chord_in_key(chord, key_of("Eb"))));
  assert_true(rl_chord_same(chord, read("N.C.")));
  assert_false(rl_chord_same(chord, read("C")));
}

static void
what_is_no_chord_is_refused_and_says_why(void **state)
{
  (void)state;
  static const struct {
    const char   *text;
    RlChordStatus status;
  } cases[] = {
    {"", RL_CHORD_NO_ROOT},
    {"H7", RL_CHORD_NO_ROOT},
    {"c7", RL_CHORD_NO_ROOT},
    {"7", RL_CHORD_NO_ROOT},
    {"m7", RL_CHORD_NO_ROOT},
    {"/", RL_CHORD_NO_ROOT},
    {"/E", RL_CHORD_NO_ROOT},
    {"#", RL_CHORD_NO_ROOT},
    {"b", RL_CHORD_NO_ROOT},
    {"bb7", RL_CHORD_NO_ROOT},
    {"bbVII", RL_CHORD_NO_ROOT},
    {"##IV", RL_CHORD_NO_ROOT},
    {"N.C./E", RL_CHORD_NO_ROOT},
    {"n.c.", RL_CHORD_NO_ROOT},
    {"X", RL_CHORD_NO_ROOT},
    {" C", RL_CHORD_NO_ROOT},
    {FLAT, RL_CHORD_NO_ROOT},
    {"\xE2\x99", RL_CHORD_NO_ROOT},
    {"C8", RL_CHORD_NO_QUALITY},
    {"Cmin9000", RL_CHORD_NO_QUALITY},
    {"C ", RL_CHORD_NO_QUALITY},
    {"C7 ", RL_CHORD_NO_QUALITY},
    {"Cbb", RL_CHORD_NO_QUALITY},
    {"F##", RL_CHORD_NO_QUALITY},
    {"C" FLAT FLAT, RL_CHORD_NO_QUALITY},
    {"VIII", RL_CHORD_NO_QUALITY},
    {"IIII", RL_CHORD_NO_QUALITY},
    {"Ii", RL_CHORD_NO_QUALITY},
    {"iI", RL_CHORD_NO_QUALITY},
    {"C7/9/E/G", RL_CHORD_NO_QUALITY},
    {"C//E", RL_CHORD_NO_QUALITY},
    {"C\xE2\x99", RL_CHORD_NO_QUALITY},
    {"Cmaj7maj7maj7maj7maj7maj7maj7maj7maj7maj7maj7", RL_CHORD_NO_QUALITY},
    {"C/", RL_CHORD_NO_BASS},
    {"C/H", RL_CHORD_NO_BASS},
    {"C/9", RL_CHORD_NO_BASS},
    {"C/E7", RL_CHORD_NO_BASS},
    {"C/ E", RL_CHORD_NO_BASS},
    {"C6/9/", RL_CHORD_NO_BASS},
    {"C6/9/9", RL_CHORD_NO_BASS},
    {"C7/9", RL_CHORD_NO_BASS},
    {"I/VIII", RL_CHORD_NO_BASS},
    {"I/b", RL_CHORD_NO_BASS},
    {"C/Ebb", RL_CHORD_NO_BASS},
    {"C6/9E", RL_CHORD_NO_QUALITY},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    RlChord             chord;
    const RlChordStatus status = rl_chord_read(rl_slice(cases[i].text), &chord);
    if (status != cases[i].status) {
      fail_msg("`%s`: status %d, expected %d", cases[i].text, (int)status, (int)cases[i].status);
    }
  }
  RlChord chord;
  assert_int_equal(rl_chord_read((RlSlice){"C7\0", 3}, &chord), RL_CHORD_NO_QUALITY);
  assert_int_equal(rl_chord_read((RlSlice){"C7 rest", 2}, &chord), RL_CHORD_OK);
}

/* Every cut of good chords, from a buffer that ends where the slice ends (a sanitizer sees a
   read past it): no crash, and what is read is what the cut says. */
static void
a_chord_is_read_only_as_far_as_its_slice(void **state)
{
  (void)state;
  static const char *const texts[] = {"B" FLAT "m7" FLAT "5/A" FLAT, "bVIImMaj7/#IV", "C6/9/E",
                                      "vii" HALF_DIMINISHED "/bIII", "N.C."};
  for (size_t i = 0; i < COUNT(texts); ++i) {
    const size_t length = strlen(texts[i]);
    for (size_t n = 0; n <= length; ++n) {
      char    copy[ROOM];
      RlChord chord;
      memcpy(copy + ROOM - n, texts[i], n);
      const RlChordStatus status = rl_chord_read((RlSlice){copy + ROOM - n, n}, &chord);
      assert_true(n < length || status == RL_CHORD_OK);
      assert_true(n > 0 || status == RL_CHORD_NO_ROOT);
    }
  }
}

/* CHORDS.md, Names: a chord is spelled from its degree. Rows by hand; double signs collapse
   (bIII of Db would be F flat: one sign, it stays; bVI of Db would be B double flat: A). */
static void
degrees_have_their_names_in_every_major_key(void **state)
{
  (void)state;
  static const char *const keys[12] = {"C",  "Db", "D",  "Eb", "E",  "F",
                                       "F#", "G",  "Ab", "A",  "Bb", "B"};
  static const struct {
    const char *degree, *name[12];
  } rows[] = {
    {"I", {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}},
    {"bII", {"Db", "D", "Eb", "Fb", "F", "Gb", "G", "Ab", "A", "Bb", "Cb", "C"}},
    {"II", {"D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B", "C", "C#"}},
    {"bIII", {"Eb", "Fb", "F", "Gb", "G", "Ab", "A", "Bb", "Cb", "C", "Db", "D"}},
    {"III", {"E", "F", "F#", "G", "G#", "A", "A#", "B", "C", "C#", "D", "D#"}},
    {"IV", {"F", "Gb", "G", "Ab", "A", "Bb", "B", "C", "Db", "D", "Eb", "E"}},
    {"#IV", {"F#", "G", "G#", "A", "A#", "B", "B#", "C#", "D", "D#", "E", "E#"}},
    {"bV", {"Gb", "G", "Ab", "A", "Bb", "Cb", "C", "Db", "D", "Eb", "Fb", "F"}},
    {"V", {"G", "Ab", "A", "Bb", "B", "C", "C#", "D", "Eb", "E", "F", "F#"}},
    {"bVI", {"Ab", "A", "Bb", "Cb", "C", "Db", "D", "Eb", "Fb", "F", "Gb", "G"}},
    {"VI", {"A", "Bb", "B", "C", "C#", "D", "D#", "E", "F", "F#", "G", "G#"}},
    {"bVII", {"Bb", "Cb", "C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A"}},
    {"VII", {"B", "C", "C#", "D", "D#", "E", "E#", "F#", "G", "G#", "A", "A#"}},
  };
  for (size_t r = 0; r < COUNT(rows); ++r) {
    for (int k = 0; k < 12; ++k) {
      char buffer[ROOM];
      name_in(read(rows[r].degree), key_of(keys[k]), buffer);
      if (strcmp(buffer, rows[r].name[k]) != 0) {
        fail_msg("%s of %s is %s, expected %s", rows[r].degree, keys[k], buffer, rows[r].name[k]);
      }
    }
  }
}

/* Degrees count along the tonic's major scale in a minor key too (CHART.md, Chords). */
static void
degrees_have_their_names_in_every_minor_key(void **state)
{
  (void)state;
  static const char *const keys[12] = {"Cm",  "C#m", "Dm",  "Ebm", "Em",  "Fm",
                                       "F#m", "Gm",  "G#m", "Am",  "Bbm", "Bm"};
  static const struct {
    const char *degree, *name[12];
  } rows[] = {
    {"i", {"Cm", "C#m", "Dm", "Ebm", "Em", "Fm", "F#m", "Gm", "G#m", "Am", "Bbm", "Bm"}},
    {"bIII", {"Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B", "C", "Db", "D"}},
    {"iv7",
     {"Fm7", "F#m7", "Gm7", "Abm7", "Am7", "Bbm7", "Bm7", "Cm7", "C#m7", "Dm7", "Ebm7", "Em7"}},
    {"V7", {"G7", "G#7", "A7", "Bb7", "B7", "C7", "C#7", "D7", "D#7", "E7", "F7", "F#7"}},
    {"bVI7", {"Ab7", "A7", "Bb7", "Cb7", "C7", "Db7", "D7", "Eb7", "E7", "F7", "Gb7", "G7"}},
    {"bVII", {"Bb", "B", "C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A"}},
    {"III", {"E", "E#", "F#", "G", "G#", "A", "A#", "B", "B#", "C#", "D", "D#"}},
    {"VII", {"B", "B#", "C#", "D", "D#", "E", "E#", "F#", "G", "G#", "A", "A#"}},
    {"#VI", {"A#", "B", "B#", "C#", "D", "D#", "E", "E#", "F#", "G", "G#", "A"}},
  };
  for (size_t r = 0; r < COUNT(rows); ++r) {
    for (int k = 0; k < 12; ++k) {
      char buffer[ROOM];
      name_in(read(rows[r].degree), key_of(keys[k]), buffer);
      if (strcmp(buffer, rows[r].name[k]) != 0) {
        fail_msg("%s of %s is %s, expected %s", rows[r].degree, keys[k], buffer, rows[r].name[k]);
      }
    }
  }
}

/* How a degree is printed: lower case where the third is minor, the m unsaid. */
static void
degrees_are_printed_as_players_write_them(void **state)
{
  (void)state;
  static const char *const cases[][3] = {
    {"F7", "G", "bVII7"},      {"Am7", "G", "ii7"},       {"G7", "G", "I7"},
    {"Dm", "Dm", "i"},         {"F#m7b5", "G", "vii7b5"}, {"F#dim7", "G", "viidim7"},
    {"CmMaj7", "C", "imMaj7"}, {"Cmaj7", "C", "Imaj7"},   {"C#dim", "C", "#idim"},
    {"Bb", "Dm", "bVI"},       {"A7b9", "Dm", "V7b9"},    {"C/E", "C", "I/III"},
    {"Em/D", "C", "iii/II"},   {"C6/9", "F", "V6/9"},     {"Csus4", "C", "Isus4"},
    {"Caug", "F", "Vaug"},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char buffer[ROOM];
    assert_string_equal(degree_in(read(cases[i][0]), key_of(cases[i][1]), buffer), cases[i][2]);
  }
}

static RlWritten
written(const bool letter, const int step, const int alter)
{
  return (RlWritten){letter, (int8_t)step, (int8_t)alter};
}

/* Reads back what rl_harmony_degree() writes and compares in `key` with the chord itself. */
static void
reads_back(const RlChord chord, const RlKey key)
{
  char            text[ROOM];
  char            name[ROOM];
  char            again[ROOM];
  RlChord         back    = {0};
  const RlHarmony harmony = rl_harmony_of(chord, key);
  degree_in(chord, key, text);
  if (strlen(text) >= RL_CHORD_SIZE || rl_chord_read(rl_slice(text), &back) != RL_CHORD_OK) {
    fail_msg("the degree `%s` is too long or does not read back", text);
  }
  back                   = rl_chord_in_key(back, key);
  const RlHarmony second = rl_harmony_of(back, key);
  name_in(chord, key, name);
  name_in(back, key, again);
  /* a degree above #III, #VI, #VII of a minor key goes by another name, and so does a bass that is
     shown by letter where that would need a double sign */
  const bool renamed = (key.minor && (harmony.degree.alter > 0 || harmony.bass_degree.alter > 0)) ||
                       rl_spelling_class(harmony.bass) == rl_spelling_class(second.bass);
  if ((!rl_chord_same(back, rl_chord_letters_in_key(chord, key)) && !renamed) ||
      second.scale != harmony.scale || rl_harmony_root(&second) != rl_harmony_root(&harmony) ||
      strlen(name) >= RL_CHORD_SIZE) {
    fail_msg("`%s`, %s, reads back as %s", text, name, again);
  }
  if (!renamed && !chord.root.letter && !chord.bass.letter && strcmp(name, again) != 0) {
    fail_msg("`%s`, %s, reads back as %s", text, name, again);
  }
}

static void
a_printed_degree_reads_back_as_the_same_chord(void **state)
{
  (void)state;
  for (int k = 0; k < 24; ++k) {
    const RlKey key = rl_key_named(k % 12, k >= 12);
    for (int quality = 0; quality < rl_qualities(); ++quality) {
      for (int note = 0; note < 42; ++note) { /* 7 steps x 3 signs, as degree and as letter */
        RlChord chord = {0};
        chord.quality = rl_quality(quality);
        chord.root    = written(note >= 21, note % 7, note % 21 / 7 - 1);
        reads_back(chord, key);
        chord.has_bass = true;
        for (int bass = 0; bass < 42; bass += 5) {
          chord.bass = written(bass >= 21, bass % 7, bass % 21 / 7 - 1);
          reads_back(chord, key);
        }
      }
    }
  }
}

/* CHART.md, Chords: with a key, letter chords become degrees of it and move with the song key. */
static void
letters_become_degrees_and_move_with_the_key(void **state)
{
  (void)state;
  static const struct {
    const char *chord, *written, *sung, *name;
  } cases[] = {
    {"Bb7", "C", "G", "F7"},    {"F#m7b5", "G", "C", "Bm7b5"}, {"D7", "G", "Bb", "F7"},
    {"C7", "G", "E", "A7"},     {"C/E", "C", "Eb", "Eb/G"},    {"A7", "Dm", "Cm", "G7"},
    {"Bb7", "Dm", "G#m", "E7"}, {"Gm7", "Dm", "F#m", "Bm7"},   {"G", "G", "G", "G"},
    {"Eb", "G", "D", "Bb"},     {"E7", "G", "Ab", "F7"},       {"C#dim7", "G", "F", "Bdim7"},
    {"IV7", "G", "F", "Bb7"},   {"Ab7/Gb", "C", "A", "F7/Eb"},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char          buffer[ROOM];
    const RlChord chord = rl_chord_in_key(read(cases[i].chord), key_of(cases[i].written));
    assert_false(chord.root.letter);
    assert_false(chord.has_bass && chord.bass.letter);
    assert_string_equal(name_in(chord, key_of(cases[i].sung), buffer), cases[i].name);
  }
}

static void
a_letter_keeps_its_pitch_when_it_becomes_a_degree_of_any_key(void **state)
{
  (void)state;
  for (int k = 0; k < 42; ++k) { /* every letter and sign as a tonic, major and minor */
    const RlKey key = {{(int8_t)(k % 7), (int8_t)(k % 21 / 7 - 1)}, k >= 21};
    for (int note = 0; note < 21; ++note) {
      RlChord chord          = {.quality = rl_quality(0)};
      chord.root             = written(true, note % 7, note / 7 - 1);
      const RlChord   moved  = rl_chord_in_key(chord, key);
      const RlHarmony before = rl_harmony_of(chord, key);
      const RlHarmony after  = rl_harmony_of(moved, key);
      assert_false(moved.root.letter);
      assert_in_range(moved.root.alter + 1, 0, 2);
      assert_int_equal(rl_harmony_root(&after), rl_harmony_root(&before));
    }
  }
}

static void
without_a_key_letters_stand_as_typed(void **state)
{
  (void)state;
  for (int k = 0; k < 24; ++k) {
    char        buffer[ROOM];
    const RlKey key = rl_key_named(k % 12, k >= 12);
    assert_string_equal(name_in(read("Gb7/Cb"), key, buffer), "Gb7/Cb");
    assert_string_equal(name_in(read("E#m"), key, buffer), "E#m");
  }
}

static void
chords_are_the_same_when_their_names_are(void **state)
{
  (void)state;
  static const struct {
    const char *a, *b;
    bool        same;
  } cases[] = {
    {"I7", "I7", true},     {"I7", "I", false},     {"I7", "IV7", false},
    {"ii7", "IIm7", true},  {"ii7", "II7", false},  {"bVII", "VII", false},
    {"#IV", "bV", false},   {"C-7", "Cm7", true},   {"CM7", "Cmaj7", true},
    {"C", "C/E", false},    {"C/E", "C/G", false},  {"C/E", "C/E", true},
    {"I7", "I7/I", false},  {"Co7", "Cdim7", true}, {"C", "I", false},
    {"B" FLAT, "Bb", true}, {"F#", "Gb", false},    {"vii" HALF_DIMINISHED, "vii7b5", true},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    if (rl_chord_same(read(cases[i].a), read(cases[i].b)) != cases[i].same) {
      fail_msg("%s and %s: expected %s", cases[i].a, cases[i].b,
               cases[i].same ? "the same" : "different");
    }
  }
}

/* CHORDS.md: a dominant (7, 7b9) on the fifth degree of a minor key has the fifth mode
   of harmonic minor; no other chord and no other place has. */
static void
the_dominant_of_a_minor_key_has_its_own_scale(void **state)
{
  (void)state;
  const unsigned fifth_mode = set_of("1 b2 3 4 5 b6 b7");
  for (int k = 0; k < 24; ++k) {
    const RlKey key = rl_key_named(k % 12, k >= 12);
    for (int quality = 0; quality < rl_qualities(); ++quality) {
      for (int note = 0; note < 42; ++note) {
        RlChord chord           = {0};
        chord.quality           = rl_quality(quality);
        chord.root              = written(note >= 21, note % 7, note % 21 / 7 - 1);
        const RlHarmony   h     = rl_harmony_of(chord, key);
        const int         above = (rl_harmony_root(&h) - k % 12 + 12) % 12;
        const char *const name  = quality_name(rl_quality(quality));
        const bool        own   = k >= 12 && above == 7 &&
                         (!strcmp(name, "7") || !strcmp(name, "7b9") || !strcmp(name, "7b13") ||
                          !strcmp(name, "7b9b13"));
        assert_int_equal(h.scale, own ? fifth_mode : rl_quality_scale(rl_quality(quality)));
      }
    }
  }
}

/* Staff steps of the interval: a second is one letter up (general music theory, no source). */
static void
a_note_is_spelled_from_its_degree_against_the_root(void **state)
{
  static const struct {
    const char *root;
    RlDegree    degree;
    const char *note;
  } facts[] = {
    {"G", RL_DEGREE_FLAT_7, "F"},   {"G", RL_DEGREE_FLAT_3, "Bb"},
    {"E", RL_DEGREE_3, "G#"},       {"C", RL_DEGREE_SHARP_9, "D#"},
    {"C", RL_DEGREE_FLAT_5, "Gb"},  {"C", RL_DEGREE_SHARP_11, "F#"},
    {"C", RL_DEGREE_FLAT_9, "Db"},  {"C", RL_DEGREE_FLAT_13, "Ab"},
    {"F#", RL_DEGREE_7, "E#"},      {"C", RL_DEGREE_DOUBLE_FLAT_7, "A"}, /* Bbb: doubles collapse */
    {"Db", RL_DEGREE_FLAT_3, "Fb"}, {"Gb", RL_DEGREE_FLAT_9, "G"},       /* Abb */
    {"B", RL_DEGREE_SHARP_5, "G"},                                       /* F## */
  };
  (void)state;
  for (size_t i = 0; i < sizeof(facts) / sizeof(facts[0]); ++i) {
    char       buffer[RL_NAME_SIZE];
    RlText     text = rl_text_in(buffer, sizeof(buffer));
    RlSpelling root = {0, 0};
    rl_spelling_read(rl_slice(facts[i].root), &root);
    rl_spelling_write(rl_degree_spelling(facts[i].degree, root), &text);
    assert_string_equal(buffer, facts[i].note);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(degrees_have_their_names_and_semitones),
    cmocka_unit_test(plain_degrees_go_up_by_half_steps_as_listed),
    cmocka_unit_test(the_scales_of_a_key_are_the_common_ones),
    cmocka_unit_test(every_written_quality_has_the_tones_and_scale_it_should),
    cmocka_unit_test(the_listed_qualities_have_each_a_name_of_their_own_and_are_tested_here),
    cmocka_unit_test(whatever_is_read_reads_back_from_its_name_and_lies_in_its_scale),
    cmocka_unit_test(every_tone_of_a_chord_lies_in_its_scale),
    cmocka_unit_test(every_written_quality_is_read_after_a_letter_and_after_a_degree),
    cmocka_unit_test(what_lead_sheets_write_is_read_and_shown_in_one_spelling),
    cmocka_unit_test(no_two_tones_of_a_chord_are_the_same_pitch),
    cmocka_unit_test(a_dominant_belongs_to_the_degree_after_its_slash),
    cmocka_unit_test(degrees_of_a_minor_key_count_from_natural_minor),
    cmocka_unit_test(the_signs_of_music_are_read_inside_a_quality_too),
    cmocka_unit_test(a_dash_stands_for_m_in_front_of_a_number_too),
    cmocka_unit_test(a_lower_case_numeral_makes_the_chord_minor),
    cmocka_unit_test(an_upper_case_numeral_leaves_the_quality_alone),
    cmocka_unit_test(a_minor_numeral_takes_no_major_quality),
    cmocka_unit_test(six_nine_is_told_from_a_bass),
    cmocka_unit_test(a_bass_is_a_letter_or_a_degree),
    cmocka_unit_test(the_lamps_follow_the_chord_and_not_its_bass),
    cmocka_unit_test(no_chord_has_no_sound_and_one_name),
    cmocka_unit_test(what_is_no_chord_is_refused_and_says_why),
    cmocka_unit_test(a_chord_is_read_only_as_far_as_its_slice),
    cmocka_unit_test(degrees_have_their_names_in_every_major_key),
    cmocka_unit_test(degrees_have_their_names_in_every_minor_key),
    cmocka_unit_test(degrees_are_printed_as_players_write_them),
    cmocka_unit_test(a_printed_degree_reads_back_as_the_same_chord),
    cmocka_unit_test(letters_become_degrees_and_move_with_the_key),
    cmocka_unit_test(a_letter_keeps_its_pitch_when_it_becomes_a_degree_of_any_key),
    cmocka_unit_test(without_a_key_letters_stand_as_typed),
    cmocka_unit_test(chords_are_the_same_when_their_names_are),
    cmocka_unit_test(the_dominant_of_a_minor_key_has_its_own_scale),
    cmocka_unit_test(a_note_is_spelled_from_its_degree_against_the_root),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
