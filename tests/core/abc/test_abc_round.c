/* SPDX-License-Identifier: ISC */
/* What is written reads back as the same phrase, member by member: all presets, and random phrases
   out of a generator with a fixed seed. The project's own folder is the first argument. */
#define _POSIX_C_SOURCE 200809L /* opendir */

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"

#include <dirent.h>
#include <stdio.h>
#include <string.h>

enum { PHRASES = 20000, PRESETS = 20, WHOLE = 4 * RL_TICKS };

static const char *project_dir = ".";
static RlPhrase    one, other;
static char        written[RL_ABC_MAX], rewritten[RL_ABC_MAX];

/* ---- are they the same? ---- */

static bool
chords_same(void)
{
  for (int i = 0; i < one.chords; ++i) {
    if (one.chord[i].at != other.chord[i].at ||
        !rl_chord_same(one.chord[i].chord, other.chord[i].chord)) {
      return false;
    }
  }
  return true;
}

static bool
notes_same(void)
{
  for (int i = 0; i < one.notes; ++i) {
    const RlPhraseNote *const a = &one.note[i];
    const RlPhraseNote *const b = &other.note[i];
    if (a->at != b->at || a->lasts != b->lasts || a->above != b->above || a->chord != b->chord ||
        a->articulation != b->articulation) {
      return false;
    }
  }
  return true;
}

static bool
heads_same(void)
{
  return !strcmp(one.title, other.title) && !strcmp(one.fields, other.fields) &&
         one.key.tonic.letter == other.key.tonic.letter &&
         one.key.tonic.alter == other.key.tonic.alter && one.key.minor == other.key.minor &&
         one.mode == other.mode && one.transpose == other.transpose &&
         one.meter_beats == other.meter_beats && one.meter_unit == other.meter_unit &&
         one.tempo == other.tempo && one.pickup == other.pickup && one.lasts == other.lasts &&
         one.notes == other.notes && one.chords == other.chords;
}

/* Writes `one`, reads `other` back, compares, and writes that once more. */
static void
round_trip(const char *const name)
{
  RlAbcError error;
  RlText     text = rl_text_in(written, sizeof(written));
  rl_abc_write(&one, &text);
  if (!rl_abc_read((RlSlice){written, text.used}, &other, &error)) {
    fail_msg("%s: line %d, column %d: %s\n%s", name, error.line, error.column, error.reason,
             written);
  }
  if (!heads_same() || !chords_same() || !notes_same()) {
    fail_msg("%s: does not read back as it was:\n%s", name, written);
  }
  text = rl_text_in(rewritten, sizeof(rewritten));
  rl_abc_write(&other, &text);
  assert_string_equal(written, rewritten);
}

/* ---- presets ---- */

static RlSlice
file_read(const char *const path)
{
  static char buffer[8192];
  FILE *const file = fopen(path, "rb");
  assert_non_null(file);
  const size_t n = fread(buffer, 1, sizeof(buffer), file);
  fclose(file);
  return (RlSlice){buffer, n};
}

static bool
preset_check(const char *const folder, const char *const name)
{
  char       path[800];
  RlAbcError error;
  if (!strstr(name, ".abc")) {
    return false;
  }
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  if (!rl_abc_read(file_read(path), &one, &error)) {
    fail_msg("%s: line %d, column %d: %s", name, error.line, error.column, error.reason);
  }
  assert_true(one.title[0] && one.notes && one.chords);
  round_trip(name);
  return true;
}

static void
every_phrase_of_the_presets_reads_back(void **state)
{
  (void)state;
  char folder[400];
  int  count = 0;
  snprintf(folder, sizeof(folder), "%s/presets/phrases", project_dir);
  DIR *const dir = opendir(folder);
  assert_non_null(dir);
  for (const struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
    count += preset_check(folder, entry->d_name);
  }
  closedir(dir);
  assert_int_equal(count, PRESETS);
}

/* ---- random phrases ---- */

static uint64_t seed;

/* 0..below - 1 */
static int
dice(const int below)
{
  seed = seed * 6364136223846793005U + 1442695040888963407U;
  return (int)((seed >> 33U) % (uint64_t)below);
}

static void
text_random(char *const to, const int most)
{
  static const char *const words[] = {"ferry", " ",  "50%",   "bell", "\\",
                                      "ä",     "\"", "rope:", "|",    "%%"};
  char                     buffer[RL_PHRASE_TITLE_SIZE];
  RlText                   text = rl_text_in(buffer, (size_t)most);
  for (int i = dice(8); i > 0; --i) {
    rl_text_add(&text, words[dice(sizeof(words) / sizeof(words[0]))]);
  }
  const RlSlice trimmed = rl_slice_trim((RlSlice){buffer, text.used});
  memcpy(to, trimmed.at, trimmed.length);
  to[trimmed.length] = '\0';
}

static void
fields_random(void)
{
  static const char *const lines[] = {"C:A deckhand\n", "N:low \\% tide\n", "T:\n", "R:  swung\n",
                                      "Z:\n"};
  RlText                   text    = rl_text_in(one.fields, sizeof(one.fields));
  for (int i = dice(4); i > 0; --i) {
    rl_text_add(&text, lines[dice(5)]);
  }
}

/* Fifths of a key, as the standard's table of key signatures has them. */
static int
sharps(const RlSpelling tonic, const int mode)
{
  static const int letters[7] = {0, 2, 4, -1, 1, 3, 5};
  static const int modes[7]   = {0, -2, -4, 1, -1, -3, -5};
  return letters[tonic.letter] + 7 * tonic.alter + modes[mode];
}

static void
key_random(void)
{
  static const int moves[] = {0, 0, 0, -12, 12, -24, -2, -9, 3, -14, 7, 1};
  one.mode                 = (uint8_t)dice(7);
  one.key.minor            = one.mode == 1 || one.mode == 2 || one.mode == 5 || one.mode == 6;
  one.transpose            = (int8_t)moves[dice(sizeof(moves) / sizeof(moves[0]))];
  do { /* a part that moves has the name with the fewest signs, at most six, and F# before Gb */
    one.key.tonic = (RlSpelling){(int8_t)dice(7), (int8_t)(dice(3) - 1)};
  } while (sharps(one.key.tonic, one.mode) > (one.transpose % 12 ? 6 : 7) ||
           sharps(one.key.tonic, one.mode) < (one.transpose % 12 ? -5 : -7));
}

static void
meter_random(void)
{
  static const uint8_t meters[][2] = {{4, 4}, {12, 8}, {3, 4}, {6, 8}, {2, 2},  {5, 4},
                                      {7, 8}, {9, 16}, {1, 1}, {0, 0}, {2, 32}, {32, 32}};
  const int            i           = dice(sizeof(meters) / sizeof(meters[0]));
  one.meter_beats                  = meters[i][0];
  one.meter_unit                   = meters[i][1];
  one.tempo = dice(3) ? 0 : dice(2) ? 1 + dice(9998) : (1000000 + dice(900000000)) / 1e6;
}

static RlWritten
root_random(void)
{
  if (one.transpose % 12) {
    const RlSpelling name = rl_degree_spelling(rl_degree_plain(dice(12)), one.key.tonic);
    return (RlWritten){true, name.letter, name.alter};
  }
  return (RlWritten){true, (int8_t)dice(7), (int8_t)(dice(3) - 1)};
}

static void
chords_random(void)
{
  int32_t at = -one.pickup + (dice(4) ? 0 : dice(RL_TICKS));
  for (int most = 1 + dice(dice(8) ? 4 : RL_PHRASE_CHORDS_MAX);
       one.chords < most && (at < one.lasts || !one.chords);) {
    RlPhraseChord *const chord = &one.chord[one.chords++];
    chord->at                  = at < one.lasts ? at : one.lasts - 1;
    chord->chord.quality       = rl_quality(dice(rl_qualities()));
    chord->chord.root          = root_random();
    chord->chord.has_bass      = !dice(5);
    if (chord->chord.has_bass) {
      chord->chord.bass = root_random();
    }
    at += dice(6) ? RL_TICKS * (1 + dice(8)) : 1 + dice(3 * RL_TICKS);
  }
}

static int
chord_at(const int32_t at)
{
  int i = 0;
  while (i + 1 < one.chords && one.chord[i + 1].at <= at) {
    ++i;
  }
  return i;
}

static int32_t
length_random(void)
{
  static const int32_t lengths[] = {RL_TICKS,     RL_TICKS / 2, RL_TICKS / 4,     RL_TICKS / 3,
                                    RL_TICKS / 6, RL_TICKS * 2, RL_TICKS * 3 / 4, RL_TICKS / 5,
                                    RL_TICKS / 7, RL_TICKS / 9};
  return dice(20) ? lengths[dice(sizeof(lengths) / sizeof(lengths[0]))] * (1 + dice(3) / 2)
                  : 1 + dice(WHOLE);
}

static void
stack_random(const int32_t at, const int32_t lasts)
{
  int pitch = dice(10) ? 50 + dice(40) : dice(120);
  for (int n = dice(6) ? 1 : 2 + dice(2); n > 0 && one.notes < RL_PHRASE_NOTES_MAX; --n) {
    RlPhraseNote *const note = &one.note[one.notes++];
    *note       = (RlPhraseNote){.at = at, .lasts = lasts, .chord = (uint8_t)chord_at(at)};
    note->above = (int16_t)(pitch - rl_phrase_pitch(&one, note));
    pitch += 1 + dice(4);
  }
}

/* One kind of playing for all notes of an onset. The last has nothing to be slurred to. */
static void
how_random(void)
{
  for (int i = 0; i < one.notes; ++i) {
    const bool again = i && one.note[i].at == one.note[i - 1].at;
    one.note[i].articulation =
      again ? one.note[i - 1].articulation : (uint8_t)(dice(2) ? 0 : dice(16));
  }
  const int32_t last = one.note[one.notes - 1].at;
  for (int i = one.notes - 1; i >= 0 && one.note[i].at == last; --i) {
    one.note[i].articulation &= (uint8_t)~RL_ARTICULATION_SLUR;
  }
}

static void
notes_random(void)
{
  for (int32_t at = -one.pickup; at < one.lasts && one.notes < RL_PHRASE_NOTES_MAX;) {
    const int32_t left  = one.lasts - at;
    int32_t       lasts = length_random();
    lasts               = lasts < left ? lasts : left;
    if (dice(4) || (!one.notes && lasts == left)) {
      stack_random(at, lasts);
    }
    at += lasts;
  }
}

static void
phrase_random(void)
{
  memset(&one, 0, sizeof(one));
  text_random(one.title, 40);
  fields_random();
  key_random();
  meter_random();
  const int32_t bar = one.meter_unit ? WHOLE / one.meter_unit * one.meter_beats : WHOLE;
  one.pickup        = one.meter_unit && !dice(3) ? 1 + dice(bar - 1) : 0;
  one.pickup        = dice(4) ? one.pickup / (RL_TICKS / 8) * (RL_TICKS / 8) : one.pickup;
  one.lasts         = dice(4) ? bar * (1 + dice(4)) : 1 + dice(bar * 4);
  chords_random();
  notes_random();
  if (!one.notes) {
    stack_random(0, one.lasts);
  }
  how_random();
}

static void
twenty_thousand_random_phrases_read_back(void **state)
{
  (void)state;
  seed = 1909;
  for (int i = 0; i < PHRASES; ++i) {
    char name[32];
    snprintf(name, sizeof(name), "phrase %d", i);
    phrase_random();
    round_trip(name);
  }
}

/* All at once: as many notes and chords as there may be, as long and odd as they can be. */
static void
the_largest_phrase_fits(void **state)
{
  (void)state;
  memset(&one, 0, sizeof(one));
  one.meter_beats = one.meter_unit = 4;
  for (int i = 0; i < RL_PHRASE_CHORDS_MAX; ++i) {
    const RlChord chord     = {.quality  = rl_quality_find(rl_slice("9sus4")),
                               .has_bass = true,
                               .root     = {true, 3, 1},
                               .bass     = {true, 6, -1}};
    one.chord[one.chords++] = (RlPhraseChord){i * (WHOLE * 4 - 11), chord};
  }
  for (int i = 0; i < RL_PHRASE_NOTES_MAX; ++i) {
    const int32_t at = i * (WHOLE / 4 - 1);
    one.note[one.notes++] =
      (RlPhraseNote){at, RL_TICKS / 2 + 1, (int16_t)(i % 2 ? 60 : -60), (uint8_t)chord_at(at),
                     i % 2 ? RL_ARTICULATION_SCOOP | RL_ARTICULATION_BEND
                           : RL_ARTICULATION_SCOOP | RL_ARTICULATION_BEND | RL_ARTICULATION_SLUR};
  }
  one.lasts = WHOLE * RL_ABC_BARS_MAX;
  round_trip("the largest phrase");
  assert_true(strlen(written) < RL_ABC_MAX - 1);
}

int
main(const int count, char *const *const arguments)
{
  project_dir = count > 1 ? arguments[1] : project_dir;

  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_phrase_of_the_presets_reads_back),
    cmocka_unit_test(twenty_thousand_random_phrases_read_back),
    cmocka_unit_test(the_largest_phrase_fits),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
