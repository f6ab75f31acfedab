/* SPDX-License-Identifier: ISC */
/* Lamps. Source: core/harmony/LAMPS.md, worked out a second time here from words: interval names
   counted along a major scale, scales as modes of their parents, harps as note names. Nothing
   here uses core's tables. Then facts by hand, each with its reason (common practice in jazz and
   blues teaching, no source, where the rule of LAMPS.md is not the reason). */
#include "core/harmony/lamps.h"

#include <math.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <setjmp.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

enum { TEXT_ROOM = 64, MIDI_C4 = 60 };

/* ---- The rule of LAMPS.md, written a second time ---- */

static const struct {
  const char *name, *tones, *scale;
} book[] = {
  {"", "R 3 5", "Ionian"},
  {"maj7", "R 3 5 7", "Ionian"},
  {"6", "R 3 5 6", "Ionian"},
  {"6/9", "R 3 5 6 9", "Ionian"},
  {"add9", "R 3 5 9", "Ionian"},
  {"maj9", "R 3 5 7 9", "Ionian"},
  {"maj13", "R 3 5 7 9 13", "Ionian"},
  {"7", "R 3 5 b7", "Mixolydian"},
  {"9", "R 3 5 b7 9", "Mixolydian"},
  {"11", "R 5 b7 9 11", "Mixolydian"},
  {"13", "R 3 5 b7 9 13", "Mixolydian"},
  {"5", "R 5", "Mixolydian"},
  {"sus2", "R 2 5", "Mixolydian"},
  {"sus4", "R 4 5", "Mixolydian"},
  {"7sus4", "R 4 5 b7", "Mixolydian"},
  {"9sus4", "R 4 5 b7 9", "Mixolydian"},
  {"7#11", "R 3 5 b7 #11", "Lydian dominant"},
  {"7b9", "R 3 5 b7 b9", "half-whole"},
  {"7#9", "R 3 5 b7 #9", "half-whole"},
  {"7alt", "R 3 b7 b9", "altered"},
  {"7b5", "R 3 b5 b7", "whole tone"},
  {"7#5", "R 3 #5 b7", "whole tone"},
  {"aug", "R 3 #5", "whole tone"},
  {"m", "R b3 5", "Dorian"},
  {"m7", "R b3 5 b7", "Dorian"},
  {"m6", "R b3 5 6", "Dorian"},
  {"m9", "R b3 5 b7 9", "Dorian"},
  {"m11", "R b3 5 b7 9 11", "Dorian"},
  {"mMaj7", "R b3 5 7", "melodic minor"},
  {"m7b5", "R b3 b5 b7", "Locrian"},
  {"dim", "R b3 b5", "whole-half"},
  {"dim7", "R b3 b5 bb7", "whole-half"},
  {"madd9", "R b3 5 9", "Dorian"},
  {"m6/9", "R b3 5 6 9", "Dorian"},
  {"m13", "R b3 5 b7 9 13", "Dorian"},
  {"m9b5", "R b3 b5 b7 9", "Locrian natural 2"},
  {"mMaj9", "R b3 5 7 9", "melodic minor"},
  {"m7#5", "R b3 #5 b7", "natural minor"},
  {"maj7#11", "R 3 5 7 #11", "Lydian"},
  {"maj7b5", "R 3 b5 7", "Lydian"},
  {"(b5)", "R 3 b5", "Lydian"},
  {"maj7#5", "R 3 #5 7", "Lydian augmented"},
  {"9#11", "R 3 5 b7 9 #11", "Lydian dominant"},
  {"13#11", "R 3 5 b7 9 #11 13", "Lydian dominant"},
  {"13b9", "R 3 5 b7 b9 13", "half-whole"},
  {"7b9#9", "R 3 5 b7 b9 #9", "half-whole"},
  {"7b13", "R 3 5 b7 b13", "Mixolydian flat 6"},
  {"7b9b13", "R 3 5 b7 b9 b13", "fifth of harmonic minor"},
  {"7#5#9", "R 3 #5 b7 #9", "altered"},
  {"7b5b9", "R 3 b5 b7 b9", "altered"},
  {"7#9b13", "R 3 5 b7 #9 b13", "altered"},
  {"7sus4b9", "R 4 5 b7 b9", "Phrygian"},
  {"13sus4", "R 4 5 b7 9 13", "Mixolydian"},
  {"7no3", "R 5 b7", "Mixolydian"},
};

enum { QUALITIES = COUNT(book), NO_CHORD = QUALITIES, CHORDS = QUALITIES * 12 + 1 };

/* A scale is a mode of a parent given by its steps in semitones. */
static const struct {
  const char *name, *steps;
  int         mode;
} scales[] = {
  {"Ionian", "2212221", 1},
  {"Dorian", "2212221", 2},
  {"Phrygian", "2212221", 3},
  {"Lydian", "2212221", 4},
  {"Mixolydian", "2212221", 5},
  {"natural minor", "2212221", 6},
  {"Locrian", "2212221", 7},
  {"melodic minor", "2122221", 1},
  {"Lydian augmented", "2122221", 3},
  {"Lydian dominant", "2122221", 4},
  {"Mixolydian flat 6", "2122221", 5},
  {"Locrian natural 2", "2122221", 6},
  {"altered", "2122221", 7},
  {"fifth of harmonic minor", "2122131", 5},
  {"half-whole", "12121212", 1},
  {"whole-half", "21212121", 1},
  {"whole tone", "222222", 1},
  {"blues", "321132", 1},
};

static bool
in_scale(const char *const name, const int above)
{
  size_t s = 0;
  while (strcmp(scales[s].name, name) != 0) {
    if (++s == COUNT(scales)) {
      fail_msg("no scale %s", name);
    }
  }
  const size_t length = strlen(scales[s].steps);
  int          at     = 0;
  for (size_t i = 0; i < length; ++i) {
    if (at == above) {
      return true;
    }
    at += scales[s].steps[((size_t)scales[s].mode - 1 + i) % length] - '0';
  }
  return false;
}

/* The number in an interval's name, 1 for the root. */
static int
number_of(const char *const word)
{
  return word[0] == 'R' ? 1 : atoi(word + strspn(word, "b#"));
}

/* Semitones of an interval's name: up the major scale, then the signs. */
static int
semitones_of(const char *const word)
{
  int at = 0;
  for (int i = 1; i < number_of(word); ++i) {
    at += "2212221"[(i - 1) % 7] - '0';
  }
  for (const char *sign = word; *sign == 'b' || *sign == '#'; ++sign) {
    at += *sign == 'b' ? -1 : 1;
  }
  return (at + 12) % 12;
}

/* The interval in a list of names that is that many semitones, copied to `word`; false if none. */
static bool
find(const char *list, const int semitones, char word[8])
{
  int bytes = 0;
  for (; sscanf(list, "%7s%n", word, &bytes) == 1; list += bytes) {
    if (semitones_of(word) == (semitones + 12) % 12) {
      return true;
    }
  }
  return false;
}

static bool
has(const char *const list, const int semitones)
{
  char word[8];
  return find(list, semitones, word);
}

/* Is the tone so many semitones up the third, fifth or seventh (with `root`: or root) of the chord?
 */
static bool
weighs(const char *const tones, const int semitones)
{
  char word[8];
  if (!find(tones, semitones, word)) {
    return false;
  }
  const int  number = number_of(word);
  const bool sus    = number == 2 || number == 4;
  return number == 1 || number == 3 || sus || number == 5 || number == 7;
}

typedef struct {
  const char *role;
  char        degree[8];
  double      brightness;
  bool        blue;
} Want;

static const char *
blue_notes(const bool minor)
{
  return minor ? "b5" : "b3 b5 b7";
}

static void
plain_name(const int semitones, char degree[8])
{
  static const char plain[] = "R b9 9 b3 3 11 #11 5 b13 13 b7 7";
  find(plain, semitones, degree);
}

static Want
without_a_chord(const int above_key, const bool minor)
{
  Want want = {"off", "", 0.0, has(blue_notes(minor), above_key)};
  if (in_scale("blues", above_key)) {
    want.role       = "pass";
    want.brightness = 0.2;
  }
  plain_name(above_key, want.degree);
  if (want.blue && above_key == 6) {
    strcpy(want.degree, "b5");
  }
  return want;
}

static Want
as_a_tone(Want want)
{
  switch (number_of(want.degree)) {
  case 1:
    want.role       = "root";
    want.brightness = 0.9;
    break;
  case 2:
  case 3:
  case 4:
    want.role       = "third";
    want.brightness = 1.0;
    break;
  case 5:
    want.role       = "fifth";
    want.brightness = 0.7;
    break;
  case 7:
    want.role       = "seventh";
    want.brightness = 1.0;
    break;
  default:
    want.role       = "chord";
    want.brightness = 0.7;
    break;
  }
  return want;
}

/* What LAMPS.md gives a pitch class that the player can reach. */
static Want
expected(const size_t quality, const int root, const int key, const bool minor, const int note)
{
  const int above_key = (note - key + 12) % 12;
  if (quality == NO_CHORD) {
    return without_a_chord(above_key, minor);
  }
  const int         above    = (note - root + 12) % 12;
  const char *const name     = book[quality].name;
  const char *const tones    = book[quality].tones;
  const bool        dominant = minor && (root - key + 12) % 12 == 7 &&
                        (!strcmp(name, "7") || !strcmp(name, "7b9") || !strcmp(name, "7b13"));
  const char *const scale     = dominant ? "fifth of harmonic minor" : book[quality].scale;
  const bool        sus_third = strstr(name, "sus") && above == 4;
  Want              want      = {"off", "", 0.0, has(blue_notes(minor), above_key)};

  if (find(tones, above, want.degree)) {
    return as_a_tone(want);
  }
  plain_name(above, want.degree);
  if (want.blue) {
    const bool rubs = weighs(tones, above - 1) || (above == 10 && has(tones, 11));
    want.role       = "blue";
    want.brightness = rubs ? 0.3 : 0.6;
    if (above == 6) {
      strcpy(want.degree, "b5");
    }
  } else if (in_scale(scale, above) && !has(tones, above - 1) && !sus_third) {
    want.role       = "safe";
    want.brightness = 0.5;
  } else if (in_scale(scale, above) || in_scale("blues", above_key) ||
             in_scale(minor ? "natural minor" : "Ionian", above_key)) {
    want.role       = "pass";
    want.brightness = 0.2;
  }
  return want;
}

/* ---- Harps from note names ---- */

static int
class_of(const char *const name)
{
  static const char keyboard[] = "C.D.EF.G.A.B";
  const int         sign       = name[1] == '#' ? 1 : name[1] == 'b' ? -1 : 0;
  return ((int)(strchr(keyboard, name[0]) - keyboard) + sign + 12) % 12;
}

static int
midi_of(const char *const name)
{
  return MIDI_C4 + class_of(name) + 12 * (name[strlen(name) - 1] - '4');
}

static const char *const reeds[6][2] = {
  /* HARPS.md, on a C harp */
  {"C4 E4 G4 C5 E5 G5 C6 E6 G6 C7", "D4 G4 B4 D5 F5 A5 B5 D6 F6 A6"},
  {"C4 E4 A4 C5 E5 G5 C6 E6 G6 C7", "D4 G4 B4 D5 F5 A5 B5 D6 F6 A6"},
  {"C4 E4 G4 C5 E5 G5 C6 E6 G6 C7", "D4 G4 B4 D5 F#5 A5 B5 D6 F6 A6"},
  {"C4 Eb4 G4 C5 Eb5 G5 C6 Eb6 G6 C7", "D4 G4 Bb4 D5 F5 A5 Bb5 D6 F6 A6"},
  {"C4 Eb4 G4 C5 Eb5 G5 C6 Eb6 G6 C7", "D4 G4 B4 D5 F5 Ab5 B5 D6 F6 Ab6"},
  {"C4 E4 G4 C5 C5 E5 G5 C6 C6 E6", "D4 F4 A4 B4 D5 F5 A5 B5 D6 F6"},
};

static const char *const techniques[10] = {"blow",  "draw",  "blow1", "blow2",    "blow3",
                                           "draw1", "draw2", "draw3", "overblow", "overdraw"};

static int
technique_note(const char *const technique, const int blow, const int draw)
{
  const bool drawn = strstr(technique, "draw") != NULL;
  const int  depth = atoi(technique + 4); /* 0 for blow and draw */
  const int  own   = drawn ? draw : blow;
  const int  other = drawn ? blow : draw;
  if (!strncmp(technique, "over", 4)) {
    return drawn ? (blow > draw ? blow + 1 : 0) : (draw > blow ? draw + 1 : 0);
  }
  return depth == 0 || own - depth > other ? own - depth : 0;
}

typedef struct {
  RlHarp harp;
  int    note[10][10];
} Harp;

static Harp
harp_made(const int key, const int range, const int tuning)
{
  const int   up   = 12 * range + (key >= 7 ? key - 12 : key); /* G3 … F#4 */
  const char *blow = reeds[tuning][0];
  const char *draw = reeds[tuning][1];
  Harp        made;
  made.harp = rl_harp_make((RlHarpChoice){(uint8_t)key, (int8_t)range, (RlTuning)tuning});
  for (int hole = 0; hole < 10; ++hole) {
    char name[2][8];
    int  bytes[2];
    assert_int_equal(sscanf(blow, "%7s%n", name[0], &bytes[0]), 1);
    assert_int_equal(sscanf(draw, "%7s%n", name[1], &bytes[1]), 1);
    blow += bytes[0];
    draw += bytes[1];
    for (int t = 0; t < 10; ++t) {
      made.note[hole][t] =
        technique_note(techniques[t], midi_of(name[0]) + up, midi_of(name[1]) + up);
    }
  }
  return made;
}

/* plugin/PORTS.md, ports 20 to 22. Where a bend or an overblow lies: two reeds in one chamber,
   Bahnson, Antaki, Beery, J. Acoust. Soc. Am. 103(4), 1998, 2134-2144 (test_harp.c). */
static bool
reaches(const RlPlayer player, const char *const technique)
{
  if (!strncmp(technique, "over", 4)) {
    return player.overblows;
  }
  return atoi(technique + 4) <= (technique[0] == 'd' ? player.draw_bends : player.blow_bends);
}

/* ---- Comparing ---- */

/* A Want in core's numbers, found by core's words, so that comparing is quick. */
typedef struct {
  RlRole   role;
  RlDegree degree;
  float    brightness;
  bool     blue;
} Number;

static RlRole
role_called(const char *const name)
{
  int role = 0;
  while (strcmp(rl_role_name((RlRole)role), name) != 0) {
    if (++role == RL_ROLES) {
      fail_msg("no role %s", name);
    }
  }
  return (RlRole)role;
}

static RlDegree
degree_called(const char *const name)
{
  int degree = 0;
  while (strcmp(rl_degree_name((RlDegree)degree), name) != 0) {
    if (++degree == RL_DEGREES) {
      fail_msg("no degree %s", name);
    }
  }
  return (RlDegree)degree;
}

static Number
numbers(const Want want)
{
  return (Number){role_called(want.role), degree_called(want.degree), (float)want.brightness,
                  want.blue};
}

static bool
agrees(const RlWorth worth, const Number want)
{
  return worth.role == want.role && worth.degree == want.degree && worth.blue == want.blue &&
         fabsf(worth.brightness - want.brightness) < 1e-6F;
}

static RlHarmony
harmony_of(const char *const chord, const RlKey key)
{
  RlChord read;
  if (rl_chord_read(rl_slice(chord), &read) != RL_CHORD_OK) {
    fail_msg("`%s` is no chord", chord);
  }
  return rl_harmony_of(read, key);
}

/* Chord number 0 … CHORDS - 1 by letter: quality times root, then N.C. */
static void
chord_text(const size_t chord, char text[TEXT_ROOM])
{
  static const char *const roots[12] = {"C",  "C#", "D",  "Eb", "E",  "F",
                                        "F#", "G",  "Ab", "A",  "Bb", "B"};
  if (chord == CHORDS - 1) {
    snprintf(text, TEXT_ROOM, "N.C.");
  } else {
    snprintf(text, TEXT_ROOM, "%s%s", roots[chord % 12], book[chord / 12].name);
  }
}

static void
wanted(const size_t chord, const RlKey key, const int tonic, Number want[12])
{
  for (int note = 0; note < 12; ++note) {
    want[note] = numbers(expected(chord / 12, (int)(chord % 12), tonic, key.minor, note));
  }
}

static void
report(const char *const where, const char *const chord, const RlKey key, const int note,
       const RlWorth got, const Number want)
{
  char   name[RL_NAME_SIZE];
  RlText text = rl_text_in(name, sizeof(name));
  rl_key_write(key, &text);
  fail_msg(
    "%s over %s in %s, %s: %s %.1f %s%s; expected %s %.1f %s%s", where, chord, name,
    (const char *[]){"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}[note % 12],
    rl_role_name(got.role), (double)got.brightness, rl_degree_name(got.degree),
    got.blue ? " blue" : "", rl_role_name(want.role), (double)want.brightness,
    rl_degree_name(want.degree), want.blue ? " blue" : "");
}

static void
compare_lamps(const Harp *const made, const RlPlayer player, const bool reach[10],
              const RlHarmony *const now, const RlKey key, const Number want[12],
              const char *const chord)
{
  const RlLamps lamps = rl_lamps_light(&made->harp, player, now, key);
  for (int i = 0; i < 100; ++i) {
    const int           note = made->note[i / 10][i % 10];
    const RlLamp *const lamp = &lamps.lamp[i / 10][i % 10];
    if (lamp->note != note) {
      fail_msg("hole %d %s: note %d, expected %d", i / 10 + 1, techniques[i % 10], lamp->note,
               note);
    }
    if (!note) {
      continue;
    }
    Number now_want = want[note % 12];
    if (!reach[i % 10]) {
      now_want.role       = RL_ROLE_REACH;
      now_want.brightness = 0.0F;
    }
    if (!agrees(lamp->worth, now_want)) {
      report(techniques[i % 10], chord, key, note, lamp->worth, now_want);
    }
  }
}

/* The settings of ports 20 to 22 by number 0 … 31. */
static RlPlayer
player_of(const unsigned number)
{
  return (RlPlayer){(uint8_t)(number & 3U), (uint8_t)(number >> 2 & 3U), number >> 4 & 1U};
}

enum { PLAYERS = 32, BENDER = 15, BEGINNER = 0, OVERBLOWER = 31 };

static bool reach[PLAYERS][10];

static int
know_who_reaches_what(void **state)
{
  (void)state;
  for (unsigned p = 0; p < PLAYERS; ++p) {
    for (int t = 0; t < 10; ++t) {
      reach[p][t] = reaches(player_of(p), techniques[t]);
    }
  }
  return 0;
}

/* ---- The tests ---- */

static void
roles_go_by_their_names_and_brightness(void **state)
{
  (void)state;
  static const struct {
    RlRole      role;
    const char *word;
  } words[] = {
    {RL_ROLE_OFF, "off"},     {RL_ROLE_REACH, "reach"}, {RL_ROLE_PASS, "pass"},
    {RL_ROLE_SAFE, "safe"},   {RL_ROLE_BLUE, "blue"},   {RL_ROLE_CHORD, "chord"},
    {RL_ROLE_FIFTH, "fifth"}, {RL_ROLE_ROOT, "root"},   {RL_ROLE_SEVENTH, "seventh"},
    {RL_ROLE_THIRD, "third"},
  };
  assert_int_equal(COUNT(words), RL_ROLES);
  for (size_t i = 0; i < COUNT(words); ++i) {
    assert_string_equal(rl_role_name(words[i].role), words[i].word);
  }
}

/* The second rule knows what core knows: no quality escapes the tests below. */
static void
every_quality_of_core_is_in_the_table_here(void **state)
{
  (void)state;
  assert_int_equal(rl_qualities(), QUALITIES);
  for (size_t i = 0; i < QUALITIES; ++i) {
    assert_true(rl_quality_find(rl_slice(book[i].name)) != RL_QUALITY_NONE);
    for (size_t j = 0; j < i; ++j) {
      assert_string_not_equal(book[i].name, book[j].name);
    }
  }
}

static void
a_note_is_worth_what_the_rule_says_over_every_chord_in_every_key(void **state)
{
  (void)state;
  for (int k = 0; k < 24; ++k) {
    const RlKey key = rl_key_named(k % 12, k >= 12);
    for (size_t chord = 0; chord < CHORDS; ++chord) {
      char   text[TEXT_ROOM];
      Number want[12];
      chord_text(chord, text);
      wanted(chord, key, k % 12, want);
      const RlHarmony now = harmony_of(text, key);
      for (int note = -24; note < 128; ++note) {
        const RlWorth worth = rl_worth_of(note, &now, key);
        if (!agrees(worth, want[(note + 24) % 12])) {
          report("a note", text, key, note + 24, worth, want[(note + 24) % 12]);
        }
      }
    }
  }
}

static Harp *
all_harps(void)
{
  Harp *const harps = malloc(216 * sizeof(Harp));
  assert_non_null(harps);
  for (int i = 0; i < 216; ++i) {
    harps[i] = harp_made(i % 12, i / 12 % 3 - 1, i / 36);
  }
  return harps;
}

/* All 216 harps x 24 keys x 385 chords for a player who reaches everything, so that every lamp
   shows its worth; and for every fourth of them one of the 32 settings in turn. */
static void
every_harp_is_lit_by_the_rule_over_every_chord_in_every_key(void **state)
{
  (void)state;
  Harp *const harps = all_harps();
  unsigned    turn  = 0;
  for (int k = 0; k < 24; ++k) {
    const RlKey key = rl_key_named(k % 12, k >= 12);
    for (size_t chord = 0; chord < CHORDS; ++chord) {
      char   text[TEXT_ROOM];
      Number want[12];
      chord_text(chord, text);
      wanted(chord, key, k % 12, want);
      const RlHarmony now = harmony_of(text, key);
      for (int h = 0; h < 216; ++h) {
        compare_lamps(&harps[h], player_of(OVERBLOWER), reach[OVERBLOWER], &now, key, want, text);
        if ((unsigned)h % 4 == chord % 4) {
          const unsigned p = (turn++ + (unsigned)chord / 4) % PLAYERS;
          compare_lamps(&harps[h], player_of(p), reach[p], &now, key, want, text);
        }
      }
    }
  }
  free(harps);
}

/* The same over every setting of the player, for one chord and key after another. */
static void
every_player_has_just_the_lamps_within_reach(void **state)
{
  (void)state;
  Harp *const harps = all_harps();
  for (int h = 0; h < 216; ++h) {
    for (unsigned p = 0; p < PLAYERS; ++p) {
      for (unsigned step = 0; step < 12; ++step) {
        const size_t chord = ((unsigned)h * 7U + p * 5U + step * 61U) % CHORDS;
        const int    k     = (h + (int)(p + step)) % 24;
        const RlKey  key   = rl_key_named(k % 12, k >= 12);
        char         text[TEXT_ROOM];
        Number       want[12];
        chord_text(chord, text);
        wanted(chord, key, k % 12, want);
        const RlHarmony now = harmony_of(text, key);
        compare_lamps(&harps[h], player_of(p), reach[p], &now, key, want, text);
      }
    }
  }
  free(harps);
}

/* A chord by degree, by letter and with a bass lights the same lamps. */
static void
lamps_do_not_ask_how_the_chord_was_written(void **state)
{
  (void)state;
  static const char *const same[][3] = {
    {"bVII7", "F7", "F7/A"}, {"ii7", "Am7", "ii7/V"}, {"V7", "D7", "V7/F#"}, {"#IV", "C#", "Db"}};
  RlKey key;
  assert_true(rl_key_read(rl_slice("G"), &key));
  for (size_t i = 0; i < COUNT(same); ++i) {
    for (int way = 1; way < 3; ++way) {
      const RlHarmony first  = harmony_of(same[i][0], key);
      const RlHarmony second = harmony_of(same[i][way], key);
      for (int note = 0; note < 12; ++note) {
        const RlWorth a = rl_worth_of(note, &first, key);
        assert_true(agrees(rl_worth_of(note, &second, key),
                           (Number){a.role, a.degree, a.brightness, a.blue}));
      }
    }
  }
}

/* ---- Facts by hand ---- */

typedef struct {
  const char *key, *chord, *note, *role;
  double      brightness;
  const char *degree;
  bool        blue;
  const char *why;
} Fact;

static bool
fits(const RlWorth worth, const char *const role, const double brightness, const char *const degree,
     const bool blue)
{
  return agrees(worth, (Number){role_called(role), degree_called(degree), (float)brightness, blue});
}

static void
check(const Fact *const facts, const size_t count)
{
  for (size_t i = 0; i < count; ++i) {
    const Fact *const f = &facts[i];
    RlKey             key;
    assert_true(rl_key_read(rl_slice(f->key), &key));
    const RlHarmony now   = harmony_of(f->chord, key);
    const RlWorth   worth = rl_worth_of(class_of(f->note), &now, key);
    if (!fits(worth, f->role, f->brightness, f->degree, f->blue)) {
      fail_msg("%s over %s in %s: %s %.1f %s%s; expected %s %.1f %s%s, for it is %s", f->note,
               f->chord, f->key, rl_role_name(worth.role), (double)worth.brightness,
               rl_degree_name(worth.degree), worth.blue ? " blue" : "", f->role, f->brightness,
               f->degree, f->blue ? " blue" : "", f->why);
    }
    /* The second rule must know the facts too, or it proves nothing. */
    size_t       quality = NO_CHORD;
    const size_t letters = f->chord[1] == '#' || f->chord[1] == 'b' ? 2 : 1;
    for (size_t q = 0; q < QUALITIES && strcmp(f->chord, "N.C.") != 0; ++q) {
      quality = strcmp(book[q].name, f->chord + letters) ? quality : q;
    }
    const Want want = expected(quality, quality == NO_CHORD ? 0 : class_of(f->chord),
                               class_of(f->key), key.minor, class_of(f->note));
    assert_true(fits(worth, want.role, want.brightness, want.degree, want.blue));
  }
}

static void
over_the_one_chord_of_a_blues(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"G", "G7", "B", "third", 1.0, "3", false, "the third"},
    {"G", "G7", "F", "seventh", 1.0, "b7", true, "the seventh first, and a blue note as well"},
    {"G", "G7", "G", "root", 0.9, "R", false, "the root"},
    {"G", "G7", "D", "fifth", 0.7, "5", false, "the fifth"},
    {"G", "G7", "Bb", "blue", 0.6, "b3", true, "a semitone BELOW the third, which is no rub"},
    {"G", "G7", "Db", "blue", 0.6, "b5", true, "blue, six semitones up: b5 and not #11"},
    {"G", "G7", "A", "safe", 0.5, "9", false, "in Mixolydian, a tone above the root"},
    {"G", "G7", "E", "safe", 0.5, "13", false, "in Mixolydian, a tone above the fifth"},
    {"G", "G7", "C", "pass", 0.2, "11", false, "in the scale, but a semitone above the third"},
    {"G", "G7", "F#", "pass", 0.2, "7", false, "in G major only"},
    {"G", "G7", "Ab", "off", 0.0, "b9", false, "in no scale of the three"},
    {"G", "G7", "Eb", "off", 0.0, "b13", false, "in no scale of the three"},
    {"G", "G9", "Bb", "blue", 0.6, "b3", true, "above a 9, which does not count for the rub"},
    {"G", "G9", "A", "chord", 0.7, "9", false, "a tone of the chord now"},
    {"G", "G13", "E", "chord", 0.7, "13", false, "a tone of the chord now"},
    {"G", "G6", "E", "chord", 0.7, "6", false, "the 6 by its own name"},
    {"G", "G6", "F", "blue", 0.6, "b7", true, "above a 6, which does not count for the rub"},
    {"G", "Gmaj7", "F", "blue", 0.3, "b7", true, "a semitone below the major seventh: it rubs"},
  };
  check(facts, COUNT(facts));
}

static void
over_the_four_chord_of_a_blues(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"G", "C7", "Bb", "seventh", 1.0, "b7", true, "the key's flat third is IV7's seventh"},
    {"G", "C7", "E", "third", 1.0, "3", false, "the third"},
    {"G", "C7", "G", "fifth", 0.7, "5", false, "the key's tonic is IV's fifth"},
    {"G", "C7", "Db", "blue", 0.3, "b9", true, "a semitone above the root: it rubs"},
    {"G", "C7", "F", "blue", 0.3, "11", true, "a semitone above the third: it rubs"},
    {"G", "C7", "B", "pass", 0.2, "7", false, "the key's major third clashes with IV7's seventh"},
    {"G", "C7", "D", "safe", 0.5, "9", false, "in Mixolydian, a tone above the root"},
    {"G", "C7", "F#", "pass", 0.2, "#11", false, "in G major only; not blue, so #11"},
    {"G", "C7", "Ab", "off", 0.0, "b13", false, "in no scale of the three"},
  };
  check(facts, COUNT(facts));
}

static void
over_the_five_chord_of_a_blues(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"G", "D7", "F#", "third", 1.0, "3", false, "the third, the key's leading note"},
    {"G", "D7", "C", "seventh", 1.0, "b7", false, "the seventh; the fourth of the key is not blue"},
    {"G", "D7", "F", "blue", 0.6, "b3", true, "a semitone below the third, which is no rub"},
    {"G", "D7", "Bb", "blue", 0.3, "b13", true, "a semitone above the fifth: it rubs"},
    {"G", "D7", "Db", "blue", 0.3, "7", true, "a semitone above the seventh: it rubs"},
    {"G", "D7", "G", "pass", 0.2, "11", false, "the key's tonic, a semitone above the third"},
    {"G", "D7", "E", "safe", 0.5, "9", false, "in Mixolydian, a tone above the root"},
    {"G", "D7", "G#", "off", 0.0, "#11", false, "in no scale of the three"},
  };
  check(facts, COUNT(facts));
}

static void
in_a_minor_key_only_the_flat_fifth_is_blue(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"Dm", "Dm7", "F", "third", 1.0, "b3", false, "the third; no blue note in a minor key"},
    {"Dm", "Dm7", "C", "seventh", 1.0, "b7", false, "the seventh; no blue note in a minor key"},
    {"Dm", "Dm7", "Ab", "blue", 0.6, "b5", true, "the flat fifth is blue in minor too"},
    {"Dm", "Dm7", "B", "safe", 0.5, "13", false, "in Dorian, a tone above the fifth"},
    {"Dm", "Dm7", "G", "safe", 0.5, "11", false, "a whole tone above a minor third"},
    {"Dm", "Dm7", "Bb", "pass", 0.2, "b13", false, "in D natural minor only"},
    {"Dm", "Dm7", "C#", "off", 0.0, "7", false, "in no scale of the three"},
    {"Dm", "Gm7", "Ab", "blue", 0.3, "b9", true, "a semitone above the root: it rubs"},
    {"Dm", "Gm7", "F", "seventh", 1.0, "b7", false, "the seventh; no blue note in a minor key"},
    {"Dm", "Dm6", "B", "chord", 0.7, "6", false, "the 6 by its own name"},
    {"Dm", "DmMaj7", "C#", "seventh", 1.0, "7", false, "the major seventh of the chord"},
    {"Dm", "DmMaj7", "C", "pass", 0.2, "b7", false, "not blue in minor: natural minor, blues"},
  };
  check(facts, COUNT(facts));
}

static void
over_the_dominant_of_a_minor_key(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"Dm", "A7", "F#", "off", 0.0, "13", false,
     "not in D harmonic minor: not safe, as in A Mixolydian"},
    {"Dm", "A7", "C#", "third", 1.0, "3", false, "the third"},
    {"Dm", "A7", "F", "pass", 0.2, "b13", false, "in the scale, a semitone above the fifth"},
    {"Dm", "A7", "Bb", "pass", 0.2, "b9", false, "in the scale, a semitone above the root"},
    {"Dm", "A7", "D", "pass", 0.2, "11", false, "in the scale, a semitone above the third"},
    {"Dm", "A7", "C", "pass", 0.2, "b3", false, "in D natural minor only"},
    {"Dm", "A7", "Ab", "blue", 0.3, "7", true, "a semitone above the seventh: it rubs"},
    {"Dm", "A7", "B", "off", 0.0, "9", false, "not in D harmonic minor"},
    {"Dm", "A7b9", "Bb", "chord", 0.7, "b9", false, "a tone of the chord now"},
    {"Dm", "A7b9", "F#", "off", 0.0, "13", false, "the rule is for 7b9 too"},
    {"Dm", "A9", "F#", "safe", 0.5, "13", false, "the rule is for 7, 7b9 and 7b13 only"},
    {"D", "A7", "F#", "safe", 0.5, "13", false, "the rule is for minor keys only"},
    {"Dm", "E7", "C#", "safe", 0.5, "13", false, "the rule is for the fifth degree only"},
  };
  check(facts, COUNT(facts));
}

static void
over_suspended_and_open_chords(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"C", "Csus4", "F", "third", 1.0, "4", false, "the 4 stands for the third"},
    {"C", "Csus4", "E", "pass", 0.2, "3", false, "the third of a sus chord is passed through"},
    {"C", "Csus2", "D", "third", 1.0, "2", false, "the 2 stands for the third"},
    {"C", "Csus2", "E", "pass", 0.2, "3", false, "the third of a sus chord is passed through"},
    {"C", "Csus2", "Eb", "blue", 0.3, "b3", true, "a semitone above the 2, which is its third"},
    {"C", "Csus2", "F", "safe", 0.5, "11", false, "no third below it to rub with"},
    {"C", "Csus4", "Eb", "blue", 0.6, "b3", true, "above no tone of the chord"},
    {"C", "Csus4", "Gb", "blue", 0.3, "b5", true, "a semitone above the 4, which is its third"},
    {"C", "G7sus4", "B", "pass", 0.2, "3", false, "the third of a sus chord is passed through"},
    {"C", "G9sus4", "B", "pass", 0.2, "3", false, "the third of a sus chord is passed through"},
    {"C", "G9sus4", "A", "chord", 0.7, "9", false, "a tone of the chord"},
    {"C", "Bsus4", "Eb", "blue", 0.6, "3", true, "a blue note before it is a sus chord's third"},
    {"C", "C5", "E", "safe", 0.5, "3", false, "a power chord is no sus chord"},
    {"C", "C11", "E", "safe", 0.5, "3", false, "nor is an 11, though it has no third"},
    {"C", "C11", "F", "chord", 0.7, "11", false, "an 11 here is no third"},
  };
  check(facts, COUNT(facts));
}

static void
over_major_altered_and_diminished_chords(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"C", "Cmaj7", "Bb", "blue", 0.3, "b7", true, "a semitone below the major seventh: it rubs"},
    {"C", "Cmaj7", "F", "pass", 0.2, "11", false, "a semitone above the third"},
    {"C", "Cmaj7", "A", "safe", 0.5, "13", false, "in Ionian, a tone above the fifth"},
    {"C", "Fmaj7", "Eb", "blue", 0.3, "b7", true, "a semitone below F's major seventh: it rubs"},
    {"C", "C7#11", "F#", "chord", 0.7, "#11", true, "the chord's own name goes before b5"},
    {"C", "Cm7b5", "Gb", "fifth", 0.7, "b5", true, "the chord's flat fifth, and blue"},
    {"C", "Bdim7", "Ab", "seventh", 1.0, "bb7", false, "the chord's own name for it"},
    {"C", "Bdim7", "A", "pass", 0.2, "b7", false, "in C major only"},
    {"C", "Bdim7", "Bb", "blue", 0.6, "7", true, "nothing to rub with: no major seventh in it"},
    {"C", "Bdim7", "Eb", "blue", 0.3, "3", true, "a semitone above the third: it rubs"},
    {"C", "Bdim7", "Db", "safe", 0.5, "9", false, "in whole-half, a tone above the root"},
    {"C", "E7#9", "G", "chord", 0.7, "#9", false, "the chord's own name goes before b3"},
    {"C", "Caug", "G#", "fifth", 0.7, "#5", false, "the chord's own name goes before b13"},
    {"C", "Caug", "F#", "blue", 0.6, "b5", true, "in whole tone and blue: blue goes first"},
    {"C", "Caug", "D", "safe", 0.5, "9", false, "in whole tone, a tone above the root"},
    {"C", "G7alt", "Ab", "chord", 0.7, "b9", false, "a tone of the chord"},
    {"C", "G7alt", "D", "pass", 0.2, "5", false, "the plain fifth is in C major only"},
    {"C", "G7alt", "Db", "safe", 0.5, "#11", false, "in altered; not blue in C, so #11"},
    {"C", "G7alt", "Eb", "blue", 0.6, "b13", true, "no fifth below it to rub with"},
    {"C", "D7b5", "E", "safe", 0.5, "9", false, "in whole tone, a tone above the root"},
    {"C", "C6/9", "D", "chord", 0.7, "9", false, "a tone of the chord"},
  };
  check(facts, COUNT(facts));
}

static void
without_a_chord_the_keys_blues_scale_is_passed_through(void **state)
{
  (void)state;
  static const Fact facts[] = {
    {"G", "N.C.", "G", "pass", 0.2, "R", false, "in the blues scale; against the key"},
    {"G", "N.C.", "Bb", "pass", 0.2, "b3", true, "in the blues scale, and blue"},
    {"G", "N.C.", "Db", "pass", 0.2, "b5", true, "blue, six semitones up: b5"},
    {"G", "N.C.", "F", "pass", 0.2, "b7", true, "in the blues scale, and blue"},
    {"G", "N.C.", "B", "off", 0.0, "3", false, "not in the blues scale"},
    {"G", "N.C.", "A", "off", 0.0, "9", false, "not in the blues scale"},
    {"Dm", "N.C.", "F", "pass", 0.2, "b3", false, "in minor no blue note"},
    {"Dm", "N.C.", "Ab", "pass", 0.2, "b5", true, "blue in minor too"},
    {"Dm", "N.C.", "E", "off", 0.0, "9", false, "in D minor, but not in its blues scale"},
  };
  check(facts, COUNT(facts));
}

typedef struct {
  const char *harp, *key, *chord;
  int         hole;
  RlTechnique technique;
  unsigned    player;
  const char *note, *role;
  double      brightness;
  const char *degree;
  bool        blue;
  const char *why;
} HoleFact;

static void
check_hole(const HoleFact *const f)
{
  RlKey key;
  assert_true(rl_key_read(rl_slice(f->key), &key));
  const RlHarp    harp  = rl_harp_make((RlHarpChoice){(uint8_t)class_of(f->harp), 0, RL_RICHTER});
  const RlHarmony now   = harmony_of(f->chord, key);
  const RlLamps   lamps = rl_lamps_light(&harp, player_of(f->player), &now, key);
  const RlLamp    lamp  = lamps.lamp[f->hole - 1][f->technique];
  if (lamp.note != midi_of(f->note) ||
      !fits(lamp.worth, f->role, f->brightness, f->degree, f->blue)) {
    fail_msg("%s harp, hole %d %s over %s in %s: note %d, %s %.1f %s%s; expected %s, %s %.1f "
             "%s%s, for it is %s",
             f->harp, f->hole, techniques[f->technique], f->chord, f->key, lamp.note,
             rl_role_name(lamp.worth.role), (double)lamp.worth.brightness,
             rl_degree_name(lamp.worth.degree), lamp.worth.blue ? " blue" : "", f->note, f->role,
             f->brightness, f->degree, f->blue ? " blue" : "", f->why);
  }
}

/* What players of these positions know (common practice, no source). */
static void
well_known_holes_have_their_well_known_roles(void **state)
{
  (void)state;
  static const HoleFact facts[] = {
    {"C", "G", "G7", 2, RL_DRAW, BENDER, "G4", "root", 0.9, "R", false,
     "draw 2, the home of second position"},
    {"C", "G", "G7", 3, RL_BLOW, BENDER, "G4", "root", 0.9, "R", false, "the same note blown"},
    {"C", "G", "G7", 3, RL_DRAW, BENDER, "B4", "third", 1.0, "3", false,
     "draw 3, the major third of second position"},
    {"C", "G", "G7", 3, RL_DRAW_1, BENDER, "Bb4", "blue", 0.6, "b3", true,
     "draw 3 bent half a step, the flat third of second position"},
    {"C", "G", "C7", 3, RL_DRAW_1, BENDER, "Bb4", "seventh", 1.0, "b7", true,
     "the same bend, the seventh of the four chord"},
    {"C", "G", "G7", 4, RL_DRAW_1, BENDER, "C#5", "blue", 0.6, "b5", true,
     "draw 4 bent, the flat fifth of second position"},
    {"C", "G", "G7", 2, RL_DRAW_2, BENDER, "F4", "seventh", 1.0, "b7", true,
     "draw 2 bent a whole step, the flat seventh"},
    {"C", "G", "G7", 5, RL_DRAW, BENDER, "F5", "seventh", 1.0, "b7", true,
     "draw 5, the flat seventh of second position without a bend"},
    {"C", "G", "G7", 4, RL_DRAW, BENDER, "D5", "fifth", 0.7, "5", false,
     "draw 4, the fifth of second position"},
    {"C", "G", "D7", 1, RL_DRAW, BENDER, "D4", "root", 0.9, "R", false,
     "draw 1, the root of the five chord in second position"},
    {"C", "G", "C7", 4, RL_BLOW, BENDER, "C5", "root", 0.9, "R", false,
     "blow 4, the root of the four chord in second position"},
    {"C", "G", "G7", 6, RL_BLOW, BENDER, "G5", "root", 0.9, "R", false,
     "blow 6, the home of second position an octave up"},
    {"C", "C", "C7", 8, RL_BLOW_1, BENDER, "Eb6", "blue", 0.6, "b3", true,
     "blow 8 bent, the flat third of first position"},
    {"C", "C", "C7", 10, RL_BLOW_2, BENDER, "Bb6", "seventh", 1.0, "b7", true,
     "blow 10 bent a whole step, the flat seventh of first position"},
    {"C", "Dm", "Dm7", 4, RL_DRAW, BENDER, "D5", "root", 0.9, "R", false,
     "draw 4, the home of third position"},
    {"C", "Dm", "Dm7", 6, RL_DRAW_1, BENDER, "Ab5", "blue", 0.6, "b5", true,
     "draw 6 bent, the flat fifth of third position"},
    {"C", "Dm", "Dm7", 7, RL_DRAW, BENDER, "B5", "safe", 0.5, "13", false,
     "draw 7, the natural sixth that makes third position Dorian"},
    {"Ab", "Eb", "Eb7", 2, RL_DRAW, BENDER, "Eb4", "root", 0.9, "R", false,
     "E flat in second position on an A flat harp"},
    {"A", "E", "E7", 3, RL_DRAW_1, BENDER, "G4", "blue", 0.6, "b3", true,
     "the flat third of E on an A harp"},
    {"G", "D", "D7", 2, RL_DRAW, BENDER, "D4", "root", 0.9, "R", false,
     "the home of second position on a low-pitched harp"},
  };
  for (size_t i = 0; i < COUNT(facts); ++i) {
    check_hole(&facts[i]);
  }
}

static void
out_of_reach_is_dark_and_keeps_degree_and_blue_flag(void **state)
{
  (void)state;
  enum { ONE_STEP = 1 + 1 * 4, DRAW_ONLY = 3, BLOW_ONLY = 12 };
  static const HoleFact facts[] = {
    {"C", "G", "G7", 6, RL_OVERBLOW, BENDER, "Bb5", "reach", 0.0, "b3", true,
     "an overblow for one who does not"},
    {"C", "G", "G7", 6, RL_OVERBLOW, OVERBLOWER, "Bb5", "blue", 0.6, "b3", true,
     "an overblow for one who does"},
    {"C", "G", "G7", 7, RL_OVERDRAW, BENDER, "C#6", "reach", 0.0, "b5", true,
     "an overdraw for one who does not"},
    {"C", "G", "G7", 2, RL_DRAW_2, BEGINNER, "F4", "reach", 0.0, "b7", true,
     "a bend for one who does not bend; its blue flag stays"},
    {"C", "G", "G7", 3, RL_DRAW_1, ONE_STEP, "Bb4", "blue", 0.6, "b3", true, "as deep as he goes"},
    {"C", "G", "G7", 3, RL_DRAW_2, ONE_STEP, "A4", "reach", 0.0, "9", false, "deeper than he goes"},
    {"C", "G", "G7", 10, RL_BLOW_1, ONE_STEP, "B6", "third", 1.0, "3", false, "as deep as he goes"},
    {"C", "G", "G7", 10, RL_BLOW_2, ONE_STEP, "Bb6", "reach", 0.0, "b3", true,
     "deeper than he goes"},
    {"C", "G", "G7", 10, RL_BLOW_1, DRAW_ONLY, "B6", "reach", 0.0, "3", false,
     "a chord tone, but blow bends are not his"},
    {"C", "G", "G7", 3, RL_DRAW_1, BLOW_ONLY, "Bb4", "reach", 0.0, "b3", true,
     "draw bends are not his"},
    {"C", "G", "G7", 3, RL_DRAW_3, BEGINNER, "Ab4", "reach", 0.0, "b9", false,
     "reach goes before off"},
    {"C", "G", "G7", 3, RL_DRAW, BEGINNER, "B4", "third", 1.0, "3", false,
     "plain notes are everyone's"},
    {"C", "G", "N.C.", 3, RL_DRAW_1, BEGINNER, "Bb4", "reach", 0.0, "b3", true,
     "without a chord too"},
  };
  for (size_t i = 0; i < COUNT(facts); ++i) {
    check_hole(&facts[i]);
  }
}

/* LAMPS.md, "How much is shown", typed here a second time: the words lit at each level. */
static void
what_lies_beyond_show_is_out_and_the_target_never_is(void **state)
{
  (void)state;
  static const char *const lit[RL_SHOWS] = {
    [RL_SHOW_TARGETS] = "",
    [RL_SHOW_CHORD]   = " third seventh root fifth chord ",
    [RL_SHOW_SAFE]    = " third seventh root fifth chord safe blue ",
    [RL_SHOW_ALL]     = " third seventh root fifth chord safe blue pass ",
  };
  for (int show = RL_SHOW_TARGETS; show <= RL_SHOW_ALL; ++show) {
    for (int role = RL_ROLE_PASS; role < RL_ROLES; ++role) {
      const RlWorth worth = {(RlRole)role, RL_DEGREE_3, 0.3F, true};
      const RlWorth plain = rl_worth_shown(worth, (RlShow)show, false);
      const RlWorth aimed = rl_worth_shown(worth, (RlShow)show, true);
      char          word[16];
      snprintf(word, sizeof(word), " %s ", rl_role_name(worth.role));
      assert_int_equal(plain.role, strstr(lit[show], word) ? role : RL_ROLE_OFF);
      assert_int_equal(plain.role == RL_ROLE_OFF, !(plain.brightness > 0));
      assert_int_equal(plain.role == RL_ROLE_OFF, plain.degree == RL_DEGREES && !plain.blue);
      assert_int_equal(aimed.role, role);
    }
  }
}

/* On the whole harp: each level is the next one less some lamps, and reach stays reach. */
static void
each_level_shows_what_the_one_before_does_and_more(void **state)
{
  (void)state;
  const RlHarp harp = rl_harp_make((RlHarpChoice){0});
  const RlKey  key  = rl_key_named(7, false);
  RlChord      chord;
  int          before = 0;
  assert_int_equal(rl_chord_read(rl_slice("I7"), &chord), RL_CHORD_OK);
  const RlHarmony now = rl_harmony_of(chord, key);
  const RlLamps   all = rl_lamps_light(&harp, player_of(BENDER), &now, key);
  for (int show = RL_SHOW_TARGETS; show <= RL_SHOW_ALL; ++show) {
    RlLamps lamps = all;
    int     count = 0;
    rl_lamps_show(&lamps, (RlShow)show, 3, RL_DRAW_1);
    for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
      const RlLamp *const was  = &all.lamp[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
      const RlLamp *const is   = &lamps.lamp[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
      const bool          same = is->worth.role == was->worth.role;
      assert_int_equal(is->note, was->note);
      assert_true(same || (is->worth.role == RL_ROLE_OFF && was->worth.role != RL_ROLE_REACH));
      count += is->worth.brightness > 0;
    }
    assert_int_equal(lamps.lamp[2][RL_DRAW_1].worth.role, RL_ROLE_BLUE);
    assert_true(show == RL_SHOW_TARGETS ? count == 1 : count > before);
    before = count;
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(roles_go_by_their_names_and_brightness),
    cmocka_unit_test(every_quality_of_core_is_in_the_table_here),
    cmocka_unit_test(over_the_one_chord_of_a_blues),
    cmocka_unit_test(over_the_four_chord_of_a_blues),
    cmocka_unit_test(over_the_five_chord_of_a_blues),
    cmocka_unit_test(in_a_minor_key_only_the_flat_fifth_is_blue),
    cmocka_unit_test(over_the_dominant_of_a_minor_key),
    cmocka_unit_test(over_suspended_and_open_chords),
    cmocka_unit_test(over_major_altered_and_diminished_chords),
    cmocka_unit_test(without_a_chord_the_keys_blues_scale_is_passed_through),
    cmocka_unit_test(well_known_holes_have_their_well_known_roles),
    cmocka_unit_test(out_of_reach_is_dark_and_keeps_degree_and_blue_flag),
    cmocka_unit_test(lamps_do_not_ask_how_the_chord_was_written),
    cmocka_unit_test(a_note_is_worth_what_the_rule_says_over_every_chord_in_every_key),
    cmocka_unit_test(what_lies_beyond_show_is_out_and_the_target_never_is),
    cmocka_unit_test(each_level_shows_what_the_one_before_does_and_more),
    cmocka_unit_test(every_player_has_just_the_lamps_within_reach),
    cmocka_unit_test(every_harp_is_lit_by_the_rule_over_every_chord_in_every_key),
  };
  return cmocka_run_group_tests(tests, know_who_reaches_what, NULL);
}
