/* SPDX-License-Identifier: ISC */
/* Pitch, spelling, keys. Sources: ISO 16:1975 (A4 = 440 Hz); core/harmony/CHORDS.md, Names (keys,
   double signs); intervals and letters are elementary theory, from memory. */
#include "core/harmony/pitch.h"

#include <math.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <setjmp.h>

#include <cmocka.h>

static const char *
name_of(const RlSpelling spelling, char buffer[RL_NAME_SIZE])
{
  RlText text = rl_text_in(buffer, RL_NAME_SIZE);
  rl_spelling_write(spelling, &text);
  return buffer;
}

static RlSpelling
named(const char *const name)
{
  RlSpelling spelling = {0, 0};
  if (rl_spelling_read(rl_slice(name), &spelling) != strlen(name)) {
    fail_msg("%s is no note name", name);
  }
  return spelling;
}

/* Pitch class of a name, counted along a keyboard and not with core's tables. */
static int
class_of(const char *const name)
{
  static const char keyboard[] = "C.D.EF.G.A.B";
  int               at         = (int)(strchr(keyboard, name[0]) - keyboard);
  for (const char *sign = name + 1; *sign; ++sign) {
    at += *sign == '#' ? 1 : -1;
  }
  return (at + 24) % 12;
}

static void
a_pitch_class_is_the_rest_of_twelve_below_zero_too(void **state)
{
  (void)state;
  for (int octave = -20; octave <= 20; ++octave) {
    for (int n = 0; n < 12; ++n) {
      assert_int_equal(rl_pitch_class(12 * octave + n), n);
    }
  }
}

static void
a4_is_440_hertz(void **state) /* ISO 16:1975 */
{
  (void)state;
  assert_true(fabs(rl_pitch_hertz(69) - 440.0) < 1e-9);
}

static void
octaves_of_a_are_halves_and_doubles(void **state)
{
  (void)state;
  static const struct {
    int    note;
    double hertz;
  } a[] = {{9, 13.75}, {21, 27.5}, {33, 55},    {45, 110},  {57, 220},
           {81, 880},  {93, 1760}, {105, 3520}, {117, 7040}};
  for (size_t i = 0; i < sizeof(a) / sizeof(a[0]); ++i) {
    assert_true(fabs(rl_pitch_hertz(a[i].note) / a[i].hertz - 1.0) < 1e-12);
  }
}

/* Figures of the equal-tempered scale at A4 = 440 as printed in many tables; from memory. */
static void
well_known_notes_have_their_well_known_hertz(void **state)
{
  (void)state;
  assert_true(fabs(rl_pitch_hertz(0) - 8.1758) < 5e-5);      /* the lowest MIDI note */
  assert_true(fabs(rl_pitch_hertz(55) - 195.9977) < 5e-5);   /* G3 */
  assert_true(fabs(rl_pitch_hertz(60) - 261.6256) < 5e-5);   /* C4 */
  assert_true(fabs(rl_pitch_hertz(64) - 329.6276) < 5e-5);   /* E4 */
  assert_true(fabs(rl_pitch_hertz(127) - 12543.854) < 5e-4); /* the highest MIDI note */
}

static void
every_midi_note_has_the_hertz_of_the_formula(void **state)
{
  (void)state;
  for (int n = 0; n < 128; ++n) {
    assert_true(fabs(rl_pitch_hertz(n) / (440.0 * pow(2.0, (n - 69) / 12.0)) - 1.0) < 1e-12);
  }
}

static void
twelve_equal_steps_make_an_octave(void **state)
{
  (void)state;
  const double step = rl_pitch_hertz(70) / rl_pitch_hertz(69);
  for (int n = 0; n < 127; ++n) {
    assert_true(fabs(rl_pitch_hertz(n + 1) / rl_pitch_hertz(n) / step - 1.0) < 1e-12);
  }
  assert_true(fabs(pow(step, 12.0) - 2.0) < 1e-12);
}

static const char *const names[21] = {"C",  "D",  "E",  "F",  "G",  "A",  "B",
                                      "C#", "D#", "E#", "F#", "G#", "A#", "B#",
                                      "Cb", "Db", "Eb", "Fb", "Gb", "Ab", "Bb"};

static void
names_are_read_written_and_placed_on_the_keyboard(void **state)
{
  (void)state;
  for (int i = 0; i < 21; ++i) {
    char             buffer[RL_NAME_SIZE];
    const RlSpelling spelling = named(names[i]);
    assert_int_equal(spelling.letter, i % 7);
    assert_int_equal(spelling.alter, i < 7 ? 0 : i < 14 ? 1 : -1);
    assert_int_equal(rl_spelling_class(spelling), class_of(names[i]));
    assert_string_equal(name_of(spelling, buffer), names[i]);
  }
  assert_int_equal(rl_spelling_class(named("B#")), 0);
  assert_int_equal(rl_spelling_class(named("Cb")), 11);
}

static void
music_signs_are_read_as_sharps_and_flats(void **state)
{
  (void)state;
  RlSpelling spelling = {0, 0};
  assert_int_equal(rl_spelling_read(rl_slice("B\xE2\x99\xAD"), &spelling), 4);
  assert_int_equal(rl_spelling_class(spelling), 10);
  assert_int_equal(rl_spelling_read(rl_slice("F\xE2\x99\xAF"
                                             "m7"),
                                    &spelling),
                   4);
  assert_int_equal(rl_spelling_class(spelling), 6);
}

static void
a_name_is_one_letter_and_one_accidental(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    size_t      bytes;
  } cases[] = {{"", 0},    {"H", 0},     {"c", 0},         {"#", 0},
               {"b", 0},   {"@", 0},     {"7", 0},         {"\xE2\x99\xAD", 0},
               {"C7", 1},  {"Cmaj7", 1}, {"Gb", 2},        {"Gbb", 2},
               {"F##", 2}, {"C b", 1},   {"C\xE2\x99", 1}, {"C\xE2\x99\xAE", 1},
               {"A#m", 2}};
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    RlSpelling spelling;
    assert_int_equal(rl_spelling_read(rl_slice(cases[i].text), &spelling), cases[i].bytes);
  }
  RlSpelling spelling = {0, 0};
  assert_int_equal(rl_spelling_read((RlSlice){"Gb", 1}, &spelling),
                   1); /* stops at the slice's end */
  assert_int_equal(spelling.alter, 0);
}

static void
keys_go_by_their_usual_names(void **state) /* CHORDS.md, Names */
{
  (void)state;
  static const char *const usual[2][12] = {
    {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"},
    {"Cm", "C#m", "Dm", "Ebm", "Em", "Fm", "F#m", "Gm", "G#m", "Am", "Bbm", "Bm"},
  };
  for (int minor = 0; minor < 2; ++minor) {
    for (int tonic = 0; tonic < 12; ++tonic) {
      char        buffer[RL_NAME_SIZE];
      RlText      text = rl_text_in(buffer, sizeof(buffer));
      const RlKey key  = rl_key_named(tonic, minor);
      rl_key_write(key, &text);
      assert_string_equal(buffer, usual[minor][tonic]);
      assert_int_equal(rl_spelling_class(key.tonic), tonic);
      assert_int_equal(key.minor, minor);
      RlKey read;
      assert_true(rl_key_read(rl_slice(buffer), &read));
      assert_int_equal(read.minor, minor);
      assert_int_equal(read.tonic.letter, key.tonic.letter);
      assert_int_equal(read.tonic.alter, key.tonic.alter);
    }
  }
}

static void
a_key_keeps_the_name_it_was_written_with(void **state)
{
  (void)state;
  char   buffer[RL_NAME_SIZE];
  RlText text = rl_text_in(buffer, sizeof(buffer));
  RlKey  key;
  assert_true(rl_key_read(rl_slice("Gb"), &key));
  assert_true(rl_key_read(rl_slice("A\xE2\x99\xAD"
                                   "m"),
                          &key));
  assert_true(key.minor);
  rl_key_write(key, &text);
  assert_string_equal(buffer, "Abm");
}

static void
what_is_no_key_is_refused(void **state)
{
  (void)state;
  static const char *const bad[] = {"",   "m",  "H",   "g",   "7",   "Gmm",  "G m", "G ", " G",
                                    "G7", "GM", "Gb#", "Gbb", "Gm7", "Gmaj", "bB",  "I",  "F##"};
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    RlKey key = {{0, 0}, false};
    if (rl_key_read(rl_slice(bad[i]), &key)) {
      fail_msg("`%s` was taken for a key", bad[i]);
    }
  }
}

/* A note above a note, by hand: the letter from the interval's number, the sign from its size. */
static void
intervals_above_a_note_take_their_own_letter(void **state)
{
  (void)state;
  static const struct {
    const char *from;
    int         steps, semitones;
    const char *to;
  } cases[] = {
    {"G", 2, 3, "Bb"},   /* minor third of G */
    {"G", 2, 4, "B"},    /* major third of G */
    {"D", 2, 4, "F#"},   /* major third of D */
    {"Eb", 6, 10, "Db"}, /* minor seventh of E flat */
    {"F#", 6, 11, "E#"}, /* major seventh of F sharp */
    {"Ab", 2, 3, "Cb"},  /* minor third of A flat */
    {"Db", 2, 3, "Fb"},  /* minor third of D flat */
    {"C#", 2, 4, "E#"},  /* major third of C sharp */
    {"F", 3, 5, "Bb"},   /* fourth of F */
    {"F", 3, 6, "B"},    /* augmented fourth of F */
    {"B", 4, 6, "F"},    /* diminished fifth of B */
    {"B", 4, 7, "F#"},   /* fifth of B */
    {"C", 8, 14, "D"},   /* ninth of C */
    {"C", 8, 15, "D#"},  /* augmented ninth of C */
    {"A", 12, 21, "F#"}, /* thirteenth of A */
    {"C", -1, -1, "B"},  /* a semitone below C */
    {"C", -7, -12, "C"}, /* an octave below */
    {"C", 0, 0, "C"},    /* itself */
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char buffer[RL_NAME_SIZE];
    assert_string_equal(
      name_of(rl_spelling_above(named(cases[i].from), cases[i].steps, cases[i].semitones), buffer),
      cases[i].to);
  }
}

/* CHORDS.md, Names: no double sharps or flats. */
static void
double_signs_become_the_plain_name(void **state)
{
  (void)state;
  static const struct {
    const char *from;
    int         steps, semitones;
    const char *to, *instead_of;
  } cases[] = {
    {"Db", 5, 8, "A", "B double flat"},  {"Db", 1, 1, "D", "E double flat"},
    {"Eb", 6, 9, "C", "D double flat"},  {"Gb", 2, 3, "A", "B double flat"},
    {"Ab", 4, 6, "D", "E double flat"},  {"Ab", 1, 1, "A", "B double flat"},
    {"Cb", 4, 6, "F", "G double flat"},  {"Fb", 2, 3, "G", "A double flat"},
    {"G#", 1, 3, "B", "A double sharp"}, {"B", 1, 3, "D", "C double sharp"},
    {"G#", 3, 6, "D", "C double sharp"}, {"D#", 6, 11, "D", "C double sharp"},
    {"A#", 2, 4, "D", "C double sharp"}, {"B", 4, 8, "G", "F double sharp"},
    {"Fb", 4, 6, "Bb", "C double flat"}, {"E#", 1, 3, "G#", "F triple sharp"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char buffer[RL_NAME_SIZE];
    name_of(rl_spelling_above(named(cases[i].from), cases[i].steps, cases[i].semitones), buffer);
    if (strcmp(buffer, cases[i].to) != 0) {
      fail_msg("%d semitones above %s: %s, expected %s instead of %s", cases[i].semitones,
               cases[i].from, buffer, cases[i].to, cases[i].instead_of);
    }
  }
}

/* Every note, every letter above it, every size: the pitch is right, the sign is single, and the
   letter is the interval's own whenever one sign can do it. */
static void
spelling_above_is_right_for_every_note_letter_and_size(void **state)
{
  (void)state;
  for (int i = 0; i < 21; ++i) {
    const RlSpelling from = named(names[i]);
    for (int steps = -14; steps <= 14; ++steps) {
      for (int semitones = -24; semitones <= 24; ++semitones) {
        const RlSpelling to    = rl_spelling_above(from, steps, semitones);
        const int        pitch = (class_of(names[i]) + semitones + 48) % 12;
        char             buffer[RL_NAME_SIZE];
        const char       own[] = {"CDEFGAB"[(i % 7 + steps + 70) % 7], '\0'};
        const int        away  = (pitch - class_of(own) + 12) % 12;
        const bool       one   = away <= 1 || away == 11;
        const bool       white = "C.D.EF.G.A.B"[pitch] != '.';
        name_of(to, buffer);
        if (class_of(buffer) != pitch || to.alter < -1 || to.alter > 1 ||
            (one && buffer[0] != own[0]) || (!one && white && to.alter != 0)) {
          fail_msg("%d letters and %d semitones above %s: %s", steps, semitones, names[i], buffer);
        }
      }
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_pitch_class_is_the_rest_of_twelve_below_zero_too),
    cmocka_unit_test(a4_is_440_hertz),
    cmocka_unit_test(octaves_of_a_are_halves_and_doubles),
    cmocka_unit_test(well_known_notes_have_their_well_known_hertz),
    cmocka_unit_test(every_midi_note_has_the_hertz_of_the_formula),
    cmocka_unit_test(twelve_equal_steps_make_an_octave),
    cmocka_unit_test(names_are_read_written_and_placed_on_the_keyboard),
    cmocka_unit_test(music_signs_are_read_as_sharps_and_flats),
    cmocka_unit_test(a_name_is_one_letter_and_one_accidental),
    cmocka_unit_test(keys_go_by_their_usual_names),
    cmocka_unit_test(a_key_keeps_the_name_it_was_written_with),
    cmocka_unit_test(what_is_no_key_is_refused),
    cmocka_unit_test(intervals_above_a_note_take_their_own_letter),
    cmocka_unit_test(double_signs_become_the_plain_name),
    cmocka_unit_test(spelling_above_is_right_for_every_note_letter_and_size),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
