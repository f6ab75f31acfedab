/* SPDX-License-Identifier: ISC */
/* The harp finder. The shares are computed here a second time, by sound: the harp's notes and the
   chord's tones as frequencies, laid against each other. Facts counted by hand on a C harp
   (core/harmony/HARPS.md) say how at the place. What a player would take in his hand is common
   practice, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/arrange/finder.h"
#include "core/chart/chart.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

enum { C, D_FLAT, D, E_FLAT, E, F, F_SHARP, G, A_FLAT, A, B_FLAT, B };

enum { ALL_HARPS = 12 * 3 * RL_TUNINGS };

static const RlPlayer bends = {3, 3, false}, beginner = {0, 0, false}, overblower = {3, 3, true};

static RlForm form;

static void
chart(const char *const text)
{
  RlChartError error;
  if (!rl_chart_read(rl_slice(text), &form, &error)) {
    fail_msg("%s: %s", text, error.reason);
  }
}

static RlKey
major(const int tonic)
{
  return rl_key_named(tonic, false);
}

static RlKey
minor(const int tonic)
{
  return rl_key_named(tonic, true);
}

static RlHarpChoice
harp(const int key)
{
  return (RlHarpChoice){(uint8_t)key, 0, RL_RICHTER};
}

static RlHarpChoice
tuned(const int key, const RlTuning tuning)
{
  return (RlHarpChoice){(uint8_t)key, 0, tuning};
}

static RlFinding
judged(const RlKey key, const int harp_key, const RlPlayer player)
{
  return rl_finder_judge(&form, key, harp(harp_key), player);
}

static void
share_is(const float share, const double expected)
{
  if (fabs((double)share - expected) > 2e-6) {
    fail_msg("a share of %f, expected %f", (double)share, expected);
  }
}

static uint64_t chance_state;

/* 0 up to `below` - 1; the generator is Knuth's MMIX congruence, its upper bits. */
static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

static const char twelve_bar[] = "key: G\n"
                                 "| I7 | % | % | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | % |";
static const char minor_twelve_bar[] =
  "key: Dm\n| i7 | iv7 | i7 | % |\n| iv7 | % | i7 | % |\n| bVI7 | V7 | i7 | V7 |";
static const char tune_32[] =
  "key: G\n[A]\n|: Imaj7 | vi7 | ii7 | V7 | Imaj7 | vi7 | ii7 V7 |1 Imaj7 :|2 I6 ||\n"
  "[B]\n| IVmaj7 | % | Imaj7 | % | vi7 | II7 | ii7 | V7 |\n"
  "[A]\n| Imaj7 | vi7 | ii7 | V7 | Imaj7 | vi7 | ii7 V7 | I6 |";

/* ---- counted by hand ---- */

/* A C harp runs from C4 to C7. In there lie G, B, D, F three times each: twelve tones of G7. Of
   them F4 is no reed (draw 2 bent two) and B6 is none (blow 10 bent one): 10 of 12. */
static void
ten_of_the_twelve_tones_of_g7_lie_plain_on_a_c_harp(void **state)
{
  (void)state;
  chart("| G7 |");
  share_is(judged(major(G), C, bends).plain, 10.0 / 12);
  share_is(judged(major(G), C, beginner).bent, 10.0 / 12);
  share_is(judged(major(G), C, (RlPlayer){2, 0, false}).bent, 11.0 / 12);
  share_is(judged(major(G), C, (RlPlayer){1, 1, false}).bent, 11.0 / 12);
  assert_true(judged(major(G), C, bends).bent == 1.0F);
}

/* C7: C four times (4, 5, 6, 7), E and G three times each, all of them reeds; B flat three times:
   draw 3 bent one, blow 10 bent two, and B flat 5, which only overblow 6 has. */
static void
ten_of_the_thirteen_tones_of_c7_lie_plain_on_a_c_harp(void **state)
{
  (void)state;
  chart("| C7 |");
  share_is(judged(major(C), C, bends).plain, 10.0 / 13);
  share_is(judged(major(C), C, bends).bent, 12.0 / 13);
  assert_true(judged(major(C), C, overblower).bent == 1.0F);
}

/* In G on a C harp, with bends: B flat in draw 3 and blow 10; D flat in draw 1 and draw 4; F in
   draw 2 (bent two), draw 5 and draw 9. Over the higher reeds: A5 of hole 6 gives B flat, C6 and C7
   of 7 and 10 give D flat, E6 of 8 gives F. */
static void
blue_notes_are_counted_by_hole_and_technique(void **state)
{
  (void)state;
  chart(twelve_bar);
  const RlFinding f = judged(major(G), C, bends);
  assert_int_equal(f.blues, 3);
  assert_string_equal(rl_degree_name(f.blue[0].degree), "b3");
  assert_string_equal(rl_degree_name(f.blue[1].degree), "b5");
  assert_string_equal(rl_degree_name(f.blue[2].degree), "b7");
  assert_int_equal(f.blue[0].places, 2);
  assert_int_equal(f.blue[1].places, 2);
  assert_int_equal(f.blue[2].places, 3);
  const RlFinding plain = judged(major(G), C, beginner);
  assert_int_equal(plain.blue[0].places, 0);
  assert_int_equal(plain.blue[1].places, 0);
  assert_int_equal(plain.blue[2].places, 2);
  const RlFinding over = judged(major(G), C, overblower);
  assert_int_equal(over.blue[0].places, 3);
  assert_int_equal(over.blue[1].places, 4);
  assert_int_equal(over.blue[2].places, 4);
}

/* core/harmony/LAMPS.md: in a minor key b5 alone is blue. D minor: A flat, on a C harp draw 3 bent
   three and draw 6 bent one. */
static void
in_minor_only_the_flat_fifth_is_blue(void **state)
{
  (void)state;
  chart(minor_twelve_bar);
  const RlFinding f = judged(minor(D), C, bends);
  assert_int_equal(f.blues, 1);
  assert_string_equal(rl_degree_name(f.blue[0].degree), "b5");
  assert_int_equal(f.blue[0].places, 2);
}

/* ---- what counts, and how long ---- */

static void
chords_count_as_long_as_they_sound(void **state)
{
  (void)state;
  const double g7 = 10.0 / 12;
  const double c7 = 10.0 / 13;
  chart("| G7 C7 |");
  share_is(judged(major(G), C, bends).plain, (g7 + c7) / 2);
  chart("| G7 / / C7 |");
  share_is(judged(major(G), C, bends).plain, (3 * g7 + c7) / 4);
  chart("| 2/4 G7 | 6/8 C7 |"); /* 4 eighths, 6 eighths */
  share_is(judged(major(G), C, bends).plain, (4 * g7 + 6 * c7) / 10);
}

static void
a_bass_under_a_chord_counts_for_nothing(void **state)
{
  (void)state;
  chart("| G7/C# |");
  share_is(judged(major(G), C, bends).plain, 10.0 / 12);
}

static void
no_chord_counts_for_nothing(void **state)
{
  (void)state;
  chart("| G7 N.C. / / | N.C. | % |");
  share_is(judged(major(G), C, bends).plain, 10.0 / 12);
  chart("| N.C. |");
  const RlFinding f = judged(major(G), C, bends);
  assert_true(f.plain == 0.0F && f.bent == 0.0F);
  assert_int_equal(f.position, 2);
  assert_int_equal(f.score, RL_SCORE_POSITION + RL_SCORE_BLUE);
}

static void
the_chorus_counts_once_and_so_does_the_ending(void **state)
{
  (void)state;
  const double g7 = 10.0 / 12;
  const double c7 = 10.0 / 13;
  chart("lead-in: 1 from 2\nchoruses: 9\n| G7 | % |\n[ending]\n| C7 |");
  share_is(judged(major(G), C, bends).plain, (2 * g7 + c7) / 3);
  chart("|: G7 :|x3 C7 |"); /* repeats are part of the chorus */
  share_is(judged(major(G), C, bends).plain, (3 * g7 + c7) / 4);
}

/* ---- the same by sound ---- */

/* Semitones above the root: core/harmony/CHORDS.md, and common practice, no source. */
static const struct {
  const char *name;
  int         tones, above[6];
} qualities[] = {
  {"", 3, {0, 4, 7}},
  {"m", 3, {0, 3, 7}},
  {"7", 4, {0, 4, 7, 10}},
  {"maj7", 4, {0, 4, 7, 11}},
  {"m7", 4, {0, 3, 7, 10}},
  {"6", 4, {0, 4, 7, 9}},
  {"9", 5, {0, 4, 7, 10, 14}},
  {"m7b5", 4, {0, 3, 6, 10}},
  {"dim7", 4, {0, 3, 6, 9}},
  {"aug", 3, {0, 4, 8}},
  {"sus4", 3, {0, 5, 7}},
  {"11", 5, {0, 7, 10, 14, 17}},
  {"5", 2, {0, 7}},
  {"7b9", 5, {0, 4, 7, 10, 13}},
  {"13", 6, {0, 4, 7, 10, 14, 21}},
};

static const char *const letters[12] = {"C",  "Db", "D",  "Eb", "E",  "F",
                                        "F#", "G",  "Ab", "A",  "Bb", "B"};

static bool
same_pitch(const double a, const double b)
{
  return fabs(log2(a / b)) < 1.0 / 48; /* within a quarter of a semitone */
}

static bool
reaches(const RlPlayer player, const int how)
{
  const int  depth = how >= RL_BLOW_1 && how <= RL_BLOW_3   ? how - RL_BLOW_1 + 1
                     : how >= RL_DRAW_1 && how <= RL_DRAW_3 ? how - RL_DRAW_1 + 1
                                                            : 0;
  const bool blown = how == RL_BLOW || (how >= RL_BLOW_1 && how <= RL_BLOW_3);
  return how == RL_OVERBLOW || how == RL_OVERDRAW
           ? player.overblows
           : depth <= (blown ? player.blow_bends : player.draw_bends);
}

static bool
harp_sounds(const RlHarp *const h, const double hertz, const RlPlayer player)
{
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const int note = h->note[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
    if (note && reaches(player, i % RL_TECHNIQUES) && same_pitch(rl_pitch_hertz(note), hertz)) {
      return true;
    }
  }
  return false;
}

static double
lowest_hertz(const RlHarp *const h, const double sign)
{
  double lowest = HUGE_VAL;
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    lowest = fmin(lowest, sign * rl_pitch_hertz(h->note[hole][RL_BLOW]));
    lowest = fmin(lowest, sign * rl_pitch_hertz(h->note[hole][RL_DRAW]));
  }
  return sign * lowest;
}

/* Every octave of every tone from far below the harp to far above, each asked for by itself. */
static double
share_by_sound(const RlHarp *const h, const int root, const int quality, const RlPlayer player)
{
  const double low   = lowest_hertz(h, 1);
  const double high  = lowest_hertz(h, -1);
  int          asked = 0;
  int          found = 0;
  for (int tone = 0; tone < qualities[quality].tones; ++tone) {
    const double bottom =
      16.3515978 * exp2((root + qualities[quality].above[tone]) / 12.0); /* C0 */
    for (int octave = -2; octave < 10; ++octave) {
      const double hertz = bottom * exp2(octave);
      if (hertz > low * 0.99 && hertz < high * 1.01) {
        ++asked;
        found += harp_sounds(h, hertz, player);
      }
    }
  }
  return (double)found / asked;
}

static void
shares_are_what_sounds(void **state)
{
  (void)state;
  chance_state = 1;
  for (int i = 0; i < 3000; ++i) {
    const int          roots[2] = {chance(12), chance(12)};
    const int          kinds[2] = {chance(COUNT(qualities)), chance(COUNT(qualities))};
    const RlPlayer     player   = {(uint8_t)chance(4), (uint8_t)chance(4), chance(2)};
    const RlHarpChoice choice   = {(uint8_t)chance(12), (int8_t)(chance(3) - 1),
                                   (RlTuning)chance(RL_TUNINGS)};
    const RlHarp       h        = rl_harp_make(choice);
    char               text[64];
    snprintf(text, sizeof(text), "| %s%s / / %s%s |", letters[roots[0]], qualities[kinds[0]].name,
             letters[roots[1]], qualities[kinds[1]].name);
    chart(text);
    const RlFinding f     = rl_finder_judge(&form, major(chance(12)), choice, player);
    double          plain = 0;
    double          bent  = 0;
    for (int k = 0; k < 2; ++k) {
      plain += (k ? 0.25 : 0.75) * share_by_sound(&h, roots[k], kinds[k], beginner);
      bent += (k ? 0.25 : 0.75) * share_by_sound(&h, roots[k], kinds[k], player);
    }
    share_is(f.plain, plain);
    share_is(f.bent, bent);
    assert_true(f.plain >= 0 && f.plain <= f.bent && f.bent <= 1);
    assert_true(f.score >= 0 && f.score <= 1000);
  }
}

static void
what_a_player_learns_never_makes_a_harp_worse(void **state)
{
  (void)state;
  chart(twelve_bar);
  for (int key = 0; key < 12; ++key) {
    int last = judged(major(G), key, beginner).score;
    for (uint8_t depth = 1; depth <= 3; ++depth) {
      const int score = judged(major(G), key, (RlPlayer){depth, depth, false}).score;
      assert_true(score >= last);
      last = score;
    }
    assert_true(judged(major(G), key, overblower).score >= last);
  }
}

/* ---- keys and registers ---- */

/* Song and harp moved together by any interval: the same, also where the standard register wraps
   from F sharp down to G, for an octave changes no pitch class within the compass. */
static void
song_and_harp_moved_together_change_nothing(void **state)
{
  (void)state;
  static const char *const songs[] = {twelve_bar, tune_32};
  for (size_t s = 0; s < COUNT(songs); ++s) {
    chart(songs[s]);
    for (int at = 0; at < 12 * RL_TUNINGS; ++at) {
      const RlTuning  tuning = (RlTuning)(at / 12);
      const RlFinding f      = rl_finder_judge(&form, major(G), tuned(at % 12, tuning), bends);
      for (int by = 1; by < 12; ++by) {
        const RlHarpChoice moved = tuned((at + by) % 12, tuning);
        const RlFinding    g     = rl_finder_judge(&form, major(G + by), moved, bends);
        assert_true(f.plain == g.plain && f.bent == g.bent);
        assert_int_equal(f.score, g.score);
        assert_int_equal(f.position, g.position);
        assert_int_equal(f.shift, g.shift);
        for (int i = 0; i < f.blues; ++i) {
          assert_int_equal(f.blue[i].places, g.blue[i].places);
        }
      }
    }
  }
}

static void
the_register_changes_nothing(void **state)
{
  (void)state;
  chart(twelve_bar);
  for (int key = 0; key < 12; ++key) {
    const RlFinding f = judged(major(G), key, bends);
    for (int8_t range = -1; range <= 1; range = (int8_t)(range + 2)) {
      const RlHarpChoice other = {(uint8_t)key, range, RL_RICHTER};
      const RlFinding    g     = rl_finder_judge(&form, major(G), other, bends);
      assert_true(f.plain == g.plain && f.bent == g.bent && f.score == g.score);
    }
  }
}

/* ---- the ranking ---- */

static int
harps_of(RlHarpChoice list[12], const RlTuning tuning)
{
  for (int key = 0; key < 12; ++key) {
    list[key] = tuned(key, tuning);
  }
  return 12;
}

/* Ranks the twelve harps of a tuning; the positions of the first `n` are these. */
static void
positions_are(const RlKey key, const RlTuning tuning, const RlPlayer player,
              const int *const expected, const int n)
{
  RlHarpChoice list[12];
  RlFinding    ranked[12];
  rl_finder_rank(&form, key, list, harps_of(list, tuning), player, ranked);
  for (int i = 0; i < n; ++i) {
    assert_int_equal(ranked[i].position, expected[i]);
  }
}

/* Common practice, no source: the song's key and the harp of second position. */
static void
a_blues_is_played_in_second_position_first(void **state)
{
  (void)state;
  static const struct {
    int song, second, first, third;
  } cases[] = {
    {G, C, G, F},
    {C, F, C, B_FLAT},
    {A, D, A, G},
    {E, A, E, D},
    {E_FLAT, A_FLAT, E_FLAT, D_FLAT},
    {B_FLAT, E_FLAT, B_FLAT, A_FLAT},
  };
  chart(twelve_bar);
  for (size_t i = 0; i < COUNT(cases); ++i) {
    RlHarpChoice list[12];
    RlFinding    ranked[12];
    rl_finder_rank(&form, major(cases[i].song), list, harps_of(list, RL_RICHTER), bends, ranked);
    assert_int_equal(ranked[0].choice.key, cases[i].second);
    assert_int_equal(ranked[1].choice.key, cases[i].first);
    assert_int_equal(ranked[2].choice.key, cases[i].third);
    assert_int_equal(ranked[0].position, 2);
    assert_int_equal(ranked[0].shift, 0);
  }
  positions_are(major(G), RL_RICHTER, bends, (const int[]){2, 1, 3, 4, 5, 12}, 6);
  positions_are(major(G), RL_COUNTRY, bends, (const int[]){2}, 1);
}

static void
of_c_g_and_f_a_blues_in_g_takes_the_c_harp(void **state)
{
  (void)state;
  const RlHarpChoice owned[] = {harp(F), harp(G), harp(C)};
  RlFinding          ranked[3];
  chart(twelve_bar);
  rl_finder_rank(&form, major(G), owned, 3, bends, ranked);
  assert_int_equal(ranked[0].choice.key, C);
  assert_int_equal(ranked[1].choice.key, G);
  assert_int_equal(ranked[2].choice.key, F);
  rl_finder_rank(&form, major(G), owned, 3, beginner, ranked);
  assert_int_equal(ranked[0].choice.key, C);
}

/* Without bends first position has none of the blue notes; third has two of them in its reeds. */
static void
a_beginner_finds_more_blues_in_third_position_than_in_first(void **state)
{
  (void)state;
  chart(twelve_bar);
  positions_are(major(G), RL_RICHTER, beginner, (const int[]){2, 3, 1}, 3);
}

/* Common practice: D minor on a C harp; then fifth and fourth, which have the minor chords. */
static void
a_minor_blues_is_played_in_third_position(void **state)
{
  (void)state;
  chart(minor_twelve_bar);
  positions_are(minor(D), RL_RICHTER, bends, (const int[]){3, 5, 4, 2}, 4);
  assert_int_equal(judged(minor(D), C, bends).position, 3);
  assert_int_equal(judged(minor(D), C, bends).shift, 0);
}

static void
minor_tunings_are_played_where_they_are_made_for(void **state)
{
  (void)state;
  chart(minor_twelve_bar);
  positions_are(minor(D), RL_NATURAL_MINOR, bends, (const int[]){2, 1, 3}, 3);
  positions_are(minor(D), RL_HARMONIC_MINOR, bends, (const int[]){1}, 1);
  const RlFinding second = rl_finder_judge(&form, minor(D), tuned(G, RL_NATURAL_MINOR), bends);
  assert_true(second.score > judged(minor(D), C, bends).score);
  chart(twelve_bar); /* and not for a major blues, where any plain harp that fits goes before */
  assert_true(rl_finder_judge(&form, major(G), tuned(C, RL_NATURAL_MINOR), bends).score <
              RL_SCORE_FITS);
}

/* Common practice: a tune with major sevenths lies well in first and twelfth. */
static void
a_tune_brings_first_and_twelfth_nearer(void **state)
{
  (void)state;
  chart(twelve_bar);
  const int blues_first   = judged(major(G), C, bends).score - judged(major(G), G, bends).score;
  const int blues_twelfth = judged(major(G), F, bends).score - judged(major(G), D, bends).score;
  chart(tune_32);
  assert_int_equal(form.bars, 32);
  const int tune_first   = judged(major(G), C, bends).score - judged(major(G), G, bends).score;
  const int tune_twelfth = judged(major(G), F, bends).score - judged(major(G), D, bends).score;
  assert_true(tune_first < blues_first / 2);
  assert_true(tune_twelfth < 0 && blues_twelfth > 0);
  positions_are(major(G), RL_RICHTER, bends, (const int[]){2, 1, 12, 3}, 4);
}

static void
shuffle(RlHarpChoice *const list, const int n)
{
  for (int i = n - 1; i > 0; --i) {
    const int          k    = chance(i + 1);
    const RlHarpChoice swap = list[i];
    list[i]                 = list[k];
    list[k]                 = swap;
  }
}

static int
every_harp(RlHarpChoice *const list)
{
  for (int i = 0; i < ALL_HARPS; ++i) {
    list[i] = (RlHarpChoice){(uint8_t)(i % 12), (int8_t)(i / 12 % 3 - 1), (RlTuning)(i / 36)};
  }
  return ALL_HARPS;
}

static bool
same_choice(const RlHarpChoice a, const RlHarpChoice b)
{
  return a.key == b.key && a.range == b.range && a.tuning == b.tuning;
}

static void
the_order_of_the_list_is_of_no_account(void **state)
{
  (void)state;
  static RlHarpChoice list[ALL_HARPS];
  static RlFinding    first[ALL_HARPS], again[ALL_HARPS];
  chance_state = 2;
  chart(tune_32);
  rl_finder_rank(&form, major(E_FLAT), list, every_harp(list), bends, first);
  for (int i = 1; i < ALL_HARPS; ++i) {
    assert_true(first[i - 1].score >= first[i].score);
    assert_false(same_choice(first[i - 1].choice, first[i].choice));
  }
  for (int round = 0; round < 50; ++round) {
    shuffle(list, ALL_HARPS);
    rl_finder_rank(&form, major(E_FLAT), list, ALL_HARPS, bends, again);
    for (int i = 0; i < ALL_HARPS; ++i) {
      assert_true(same_choice(first[i].choice, again[i].choice));
      assert_int_equal(first[i].score, again[i].score);
    }
  }
}

static void
of_equal_harps_the_standard_register_comes_first(void **state)
{
  (void)state;
  const RlHarpChoice owned[] = {{C, 1, RL_RICHTER}, {C, -1, RL_RICHTER}, {C, 0, RL_RICHTER}};
  RlFinding          ranked[3];
  chart(twelve_bar);
  rl_finder_rank(&form, major(G), owned, 3, bends, ranked);
  assert_int_equal(ranked[0].choice.range, 0);
  assert_int_equal(ranked[1].choice.range, -1);
  assert_int_equal(ranked[2].choice.range, 1);
}

/* With N.C. alone nothing but position and blue notes tells harps apart: D flat and F sharp,
   seventh and eighth position in G, are equally unloved and have all blue notes twice. */
static void
of_equal_harps_the_first_tuning_and_then_the_first_key(void **state)
{
  (void)state;
  const RlHarpChoice owned[] = {tuned(F_SHARP, RL_COUNTRY), harp(F_SHARP), harp(D_FLAT)};
  RlFinding          ranked[3];
  chart("| N.C. |");
  rl_finder_rank(&form, major(G), owned, 3, bends, ranked);
  assert_int_equal(ranked[0].score, ranked[2].score);
  assert_int_equal(ranked[0].choice.key, D_FLAT);
  assert_int_equal(ranked[1].choice.tuning, RL_RICHTER);
  assert_int_equal(ranked[2].choice.tuning, RL_COUNTRY);
}

/* A harp owned twice stands there twice. */
static void
ranking_judges_as_judging_does(void **state)
{
  (void)state;
  const RlHarpChoice owned[] = {harp(A), harp(C), harp(A)};
  RlFinding          ranked[3];
  chart(twelve_bar);
  rl_finder_rank(&form, major(E), owned, 3, bends, ranked);
  const RlFinding a = judged(major(E), A, bends);
  const RlFinding c = judged(major(E), C, bends);
  assert_true(same_choice(ranked[0].choice, a.choice) && ranked[0].score == a.score);
  assert_true(same_choice(ranked[1].choice, a.choice) && ranked[1].plain == a.plain);
  assert_true(same_choice(ranked[2].choice, c.choice) && ranked[2].bent == c.bent);
}

/* ---- moving the recording ---- */

/* The smallest move that lands on the position, of two the one down, by trying all. */
static int
shift_by_trying(const int harp_key, const int song, const int position)
{
  for (int by = 0;; ++by) {
    if (rl_harp_position(harp_key, song - by) == position) {
      return -by;
    }
    if (rl_harp_position(harp_key, song + by) == position) {
      return by;
    }
  }
}

static void
a_shift_is_the_smallest_that_puts_the_harp_in_its_best_position(void **state)
{
  (void)state;
  static const struct {
    RlTuning tuning;
    bool     minor;
    int      position; /* common practice, no source */
  } best[] = {
    {RL_RICHTER, false, 2},          {RL_RICHTER, true, 3},        {RL_RAISED_THIRD_BLOW, false, 2},
    {RL_RAISED_THIRD_BLOW, true, 3}, {RL_COUNTRY, false, 2},       {RL_COUNTRY, true, 3},
    {RL_NATURAL_MINOR, true, 2},     {RL_HARMONIC_MINOR, true, 1}, {RL_NATURAL_MINOR, false, 2},
    {RL_HARMONIC_MINOR, false, 2},   {RL_SOLO, false, 3},          {RL_SOLO, true, 3},
  };
  chart(twelve_bar);
  for (size_t i = 0; i < COUNT(best); ++i) {
    for (int at = 0; at < 144; ++at) {
      const RlKey     key = rl_key_named(at / 12, best[i].minor);
      const RlFinding f   = rl_finder_judge(&form, key, tuned(at % 12, best[i].tuning), bends);
      assert_int_equal(f.shift, shift_by_trying(at % 12, at / 12, best[i].position));
      assert_int_equal(f.position, rl_harp_position(at % 12, at / 12));
    }
  }
}

static RlShift
shift_for(const RlKey key, const RlHarpChoice *const owned, const int n, const RlPlayer player)
{
  RlFinding ranked[ALL_HARPS];
  rl_finder_rank(&form, key, owned, n, player, ranked);
  return rl_finder_shift(&form, key, player, ranked, n);
}

/* A B harp plays second position in F sharp: a blues in G comes down by one. */
static void
a_harp_a_semitone_off_fits_when_the_recording_moves(void **state)
{
  (void)state;
  const RlHarpChoice b = harp(B);
  chart(twelve_bar);
  const RlShift s = shift_for(major(G), &b, 1, bends);
  assert_int_equal(s.semitones, -1);
  assert_int_equal(s.then.position, 2);
  assert_int_equal(s.then.shift, 0);
  assert_int_equal(s.then.choice.key, B);
  const RlFinding there = judged(major(F_SHARP), B, bends);
  assert_true(s.then.score == there.score && s.then.plain == there.plain);
}

static void
where_a_harp_fits_nothing_moves(void **state)
{
  (void)state;
  const RlHarpChoice owned[] = {harp(B), harp(C)};
  chart(twelve_bar);
  assert_int_equal(shift_for(major(G), owned, 2, bends).semitones, 0);
  const RlHarpChoice g = harp(G); /* first position fits a blues too */
  assert_int_equal(shift_for(major(G), &g, 1, bends).semitones, 0);
  assert_int_equal(shift_for(major(G), NULL, 0, bends).semitones, 0);
}

static void
of_equal_moves_the_one_down(void **state)
{
  (void)state;
  const RlHarpChoice around[] = {harp(D_FLAT), harp(B)}; /* second position in A flat, F sharp */
  const RlHarpChoice opposite = harp(F_SHARP);           /* in D flat, six either way */
  chart(twelve_bar);
  assert_int_equal(shift_for(major(G), around, 2, bends).semitones, -1);
  assert_int_equal(shift_for(major(G), &opposite, 1, bends).semitones, -6);
}

static void
of_equal_moves_the_harp_that_then_scores_higher(void **state)
{
  (void)state;
  const RlHarpChoice owned[] = {tuned(B, RL_RAISED_THIRD_BLOW), harp(D_FLAT)};
  chart(twelve_bar);
  const RlShift s = shift_for(major(G), owned, 2, bends);
  assert_int_equal(s.semitones, 1);
  assert_int_equal(s.then.choice.key, D_FLAT);
}

static void
the_smallest_move_wins_over_the_better_rank(void **state)
{
  (void)state;
  const RlHarpChoice owned[] = {harp(B_FLAT), harp(B)}; /* down two, down one */
  RlFinding          ranked[2];
  chart(twelve_bar);
  rl_finder_rank(&form, major(G), owned, 2, bends, ranked);
  assert_int_equal(ranked[0].choice.key, B_FLAT);
  const RlShift s = rl_finder_shift(&form, major(G), bends, ranked, 2);
  assert_int_equal(s.semitones, -1);
  assert_int_equal(s.then.choice.key, B);
}

/* Letters in a chart without a key stand as typed, but the recording takes them along. */
static void
letters_without_a_key_move_with_the_recording(void **state)
{
  (void)state;
  const RlHarpChoice b = harp(B);
  chart("| G7 | C7 | G7 | D7 |");
  const RlShift s = shift_for(major(G), &b, 1, bends);
  chart("key: G\n| G7 | C7 | G7 | D7 |");
  const RlShift with_key = shift_for(major(G), &b, 1, bends);
  assert_int_equal(s.semitones, -1);
  assert_int_equal(with_key.semitones, -1);
  assert_int_equal(s.then.score, with_key.then.score);
}

static void
where_nothing_helps_nothing_is_suggested(void **state)
{
  (void)state;
  const RlHarpChoice b = harp(B);
  chart("| N.C. |");
  assert_int_equal(shift_for(major(G), &b, 1, bends).semitones, 0);
}

/* In minor the move is to third position: a C harp for a song in E flat minor goes down to D. */
static void
a_minor_song_moves_to_third_position(void **state)
{
  (void)state;
  const RlHarpChoice c = harp(C);
  chart(minor_twelve_bar);
  const RlShift s = shift_for(minor(E_FLAT), &c, 1, bends);
  assert_int_equal(s.semitones, -1);
  assert_int_equal(s.then.position, 3);
}

/* Whatever is owned and asked: a suggestion is one of the harps' own shifts, and makes it fit. */
static void
a_suggestion_is_always_a_harps_own_shift_and_fits(void **state)
{
  (void)state;
  static const char *const songs[] = {twelve_bar, minor_twelve_bar, tune_32};
  chance_state                     = 3;
  for (int round = 0; round < 1000; ++round) {
    RlHarpChoice owned[4];
    RlFinding    ranked[4];
    const RlKey  key = rl_key_named(chance(12), chance(2));
    const int    n   = 1 + chance(4);
    for (int i = 0; i < n; ++i) {
      owned[i] = tuned(chance(12), (RlTuning)chance(RL_TUNINGS));
    }
    chart(songs[chance(COUNT(songs))]);
    rl_finder_rank(&form, key, owned, n, bends, ranked);
    const RlShift s   = rl_finder_shift(&form, key, bends, ranked, n);
    bool          own = false;
    for (int i = 0; i < n; ++i) {
      own = own || (same_choice(ranked[i].choice, s.then.choice) && ranked[i].shift == s.semitones);
    }
    if (ranked[0].score >= RL_SCORE_FITS) {
      assert_int_equal(s.semitones, 0);
    } else if (s.semitones) {
      assert_true(own && s.then.score >= RL_SCORE_FITS);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(ten_of_the_twelve_tones_of_g7_lie_plain_on_a_c_harp),
    cmocka_unit_test(ten_of_the_thirteen_tones_of_c7_lie_plain_on_a_c_harp),
    cmocka_unit_test(blue_notes_are_counted_by_hole_and_technique),
    cmocka_unit_test(in_minor_only_the_flat_fifth_is_blue),
    cmocka_unit_test(chords_count_as_long_as_they_sound),
    cmocka_unit_test(a_bass_under_a_chord_counts_for_nothing),
    cmocka_unit_test(no_chord_counts_for_nothing),
    cmocka_unit_test(the_chorus_counts_once_and_so_does_the_ending),
    cmocka_unit_test(shares_are_what_sounds),
    cmocka_unit_test(what_a_player_learns_never_makes_a_harp_worse),
    cmocka_unit_test(song_and_harp_moved_together_change_nothing),
    cmocka_unit_test(the_register_changes_nothing),
    cmocka_unit_test(a_blues_is_played_in_second_position_first),
    cmocka_unit_test(of_c_g_and_f_a_blues_in_g_takes_the_c_harp),
    cmocka_unit_test(a_beginner_finds_more_blues_in_third_position_than_in_first),
    cmocka_unit_test(a_minor_blues_is_played_in_third_position),
    cmocka_unit_test(minor_tunings_are_played_where_they_are_made_for),
    cmocka_unit_test(a_tune_brings_first_and_twelfth_nearer),
    cmocka_unit_test(the_order_of_the_list_is_of_no_account),
    cmocka_unit_test(of_equal_harps_the_standard_register_comes_first),
    cmocka_unit_test(of_equal_harps_the_first_tuning_and_then_the_first_key),
    cmocka_unit_test(ranking_judges_as_judging_does),
    cmocka_unit_test(a_shift_is_the_smallest_that_puts_the_harp_in_its_best_position),
    cmocka_unit_test(a_harp_a_semitone_off_fits_when_the_recording_moves),
    cmocka_unit_test(where_a_harp_fits_nothing_moves),
    cmocka_unit_test(of_equal_moves_the_one_down),
    cmocka_unit_test(of_equal_moves_the_harp_that_then_scores_higher),
    cmocka_unit_test(the_smallest_move_wins_over_the_better_rank),
    cmocka_unit_test(letters_without_a_key_move_with_the_recording),
    cmocka_unit_test(where_nothing_helps_nothing_is_suggested),
    cmocka_unit_test(a_minor_song_moves_to_third_position),
    cmocka_unit_test(a_suggestion_is_always_a_harps_own_shift_and_fits),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
