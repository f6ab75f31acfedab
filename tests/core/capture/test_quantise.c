/* SPDX-License-Identifier: ISC */
/* The quantiser by itself: notes at known times, and the places and the feel that it finds.
   test_notate.c measures how often it is right along a form. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/capture/quantise.h"
#include "played.h"

#include <math.h>
#include <string.h>

static RlGridNote      note[RL_QUANTISE_NOTES_MAX];
static RlGridBeat      beat[RL_QUANTISE_BEATS_MAX];
static RlGridWorkspace workspace;
static RlGridFeel      feel;
static int             notes, beats;

/* How the notes of a test are played. */
typedef struct {
  double   tempo, swing, behind_ms, spread_ms;
  unsigned seed;
} Player;

static void
beats_lay(const int count, const double length, const bool thirds)
{
  notes = 0;
  beats = count;
  for (int i = 0; i < count; ++i) {
    beat[i] = (RlGridBeat){.at = i * length, .length = length, .thirds = thirds};
  }
}

/* A note from `part` of `parts` into a beat, for `lasts` of its parts; halves swing. It never
   begins before the first beat. */
static void
play(Player *const p, const int on, const int part, const int parts, const int lasts)
{
  const double ms    = p->tempo / 60000; /* quarters */
  double       at[2] = {(double)part / parts, (double)(part + lasts) / parts};
  for (int k = 0; k < 2; ++k) {
    const double whole = floor(at[k]), in = at[k] - whole;
    const bool   off = parts == 2 && in > 0.4;
    at[k]            = beat[on].at + beat[on].length * (whole + (off ? p->swing : in));
    at[k] += (p->behind_ms + p->spread_ms * played_normal(&p->seed)) * ms;
  }
  note[notes++] = (RlGridNote){.at = fmax(0, at[0]), .ends = at[1]};
}

static void
quantise(const double tempo)
{
  memset(&workspace, 0xA5, sizeof(workspace));
  memset(&feel, 0xA5, sizeof(feel));
  rl_quantise(note, notes, beat, beats, tempo, &workspace, &feel);
}

/* Is a place `part` of `parts` into a beat, however its fraction is written? */
static void
place_is(const RlGridPlace p, const int on, const int part, const int parts)
{
  if ((p.beat * p.parts + p.part) * parts != (on * parts + part) * p.parts) {
    fail_msg("on beat %d, %d/%d, not on beat %d, %d/%d", p.beat, p.part, p.parts, on, part, parts);
  }
}

static void
note_is(const int index, const int on, const int part, const int parts, const int lasts)
{
  assert_false(note[index].crushed);
  place_is(note[index].on, on, part, parts);
  place_is(note[index].off, on, part + lasts, parts);
}

static void
close_to(const double is, const double wanted, const double most)
{
  if (fabs(is - wanted) > most) {
    fail_msg("%g is not within %g of %g", is, most, wanted);
  }
}

/* Every beat of `count` in `parts` notes, and all of them found. */
static void
even_notes_are_found(Player p, const int count, const int parts, const double length,
                     const bool thirds)
{
  beats_lay(count, length, thirds);
  for (int b = 0; b < count - 1; ++b) {
    for (int i = 0; i < parts; ++i) {
      play(&p, b, i, parts, 1);
    }
  }
  quantise(p.tempo);
  for (int i = 0; i < notes; ++i) {
    note_is(i, i / parts, i % parts, parts, 1);
  }
}

static void
straight_eighths_are_found(void **state)
{
  (void)state;
  even_notes_are_found((Player){100, 0.5, 10, 8, 1}, 17, 2, 1, false);
  close_to(feel.swing, 0.5, 0.02);
  assert_int_equal(feel.off_beats, 16);
}

static void
swung_eighths_are_found_and_their_swing_too(void **state)
{
  static const double swings[] = {0.56, 0.6, 0.63};
  (void)state;
  for (unsigned s = 0; s < sizeof(swings) / sizeof(swings[0]); ++s) {
    even_notes_are_found((Player){110, swings[s], 10, 8, 2 + s}, 33, 2, 1, false);
    close_to(feel.swing, swings[s], 0.03);
    assert_int_equal(feel.off_beats, 32);
  }
}

static void
triplets_are_found_and_are_no_swing(void **state)
{
  (void)state;
  even_notes_are_found((Player){100, 0.5, 10, 8, 5}, 17, 3, 1, false);
  assert_int_equal(feel.off_beats, 0);
  close_to(feel.swing, 0, 0);
}

static void
sixteenths_and_sextuplets_are_found(void **state)
{
  (void)state;
  even_notes_are_found((Player){80, 0.5, 5, 5, 6}, 9, 4, 1, false);
  even_notes_are_found((Player){60, 0.5, 5, 5, 7}, 9, 6, 1, false);
}

static void
dotted_beats_fall_into_thirds(void **state)
{
  (void)state;
  even_notes_are_found((Player){120, 0.5, 10, 8, 8}, 13, 3, 1.5, true);
  assert_int_equal(feel.off_beats, 0);
}

/* Late or early, the notes stand on the same places. */
static void
lay_back_is_found(void **state)
{
  static const double behind[] = {-20, 0, 15, 30, 45};
  (void)state;
  for (unsigned i = 0; i < sizeof(behind) / sizeof(behind[0]); ++i) {
    Player p = {100, 0.5, behind[i], 6, 9 + i};
    beats_lay(34, 1, false);
    for (int b = 1; b < 33; ++b) {
      play(&p, b, 0, 2, 1);
      play(&p, b, 1, 2, 1);
    }
    quantise(p.tempo);
    for (int n = 0; n < notes; ++n) {
      note_is(n, 1 + n / 2, n % 2, 2, 1);
    }
    close_to(feel.behind, behind[i], 4);
    close_to(feel.spread, 6, 6);
  }
}

/* An eighth on every beat, an eighth's rest behind it. */
static void
a_note_let_go_well_before_the_next_ends_before_a_rest(void **state)
{
  (void)state;
  Player p = {100, 0.5, 0, 3, 20};
  beats_lay(17, 1, false);
  for (int b = 0; b < 16; ++b) {
    play(&p, b, 0, 2, 1);
  }
  quantise(p.tempo);
  for (int n = 0; n < notes; ++n) {
    note_is(n, n, 0, 2, 1);
  }
}

static void
no_notes_have_no_feel(void **state)
{
  (void)state;
  beats_lay(8, 1, false);
  quantise(100);
  assert_int_equal(feel.off_beats, 0);
  close_to(feel.swing, 0, 0);
  close_to(feel.behind, 0, 0);
}

static void
one_note_stands_on_its_beat(void **state)
{
  (void)state;
  beats_lay(8, 1, false);
  note[notes++] = (RlGridNote){.at = 3.01, .ends = 3.97};
  quantise(100);
  note_is(0, 3, 0, 1, 1);
  assert_int_equal(feel.off_beats, 0);
  beats_lay(1, 1, false); /* one beat is all there is */
  note[notes++] = (RlGridNote){.at = 0.01, .ends = 0.98};
  quantise(100);
  note_is(0, 0, 0, 1, 1);
}

/* As many notes and beats as there may be: an eighth on every second beat, then a rest. */
static void
the_greatest_take_is_found(void **state)
{
  Player p = {120, 0.5, 10, 8, 30};
  (void)state;
  beats_lay(RL_QUANTISE_BEATS_MAX, 1, false);
  for (int n = 0; n < RL_QUANTISE_NOTES_MAX; ++n) {
    play(&p, 2 * n, n % 2, 2, 1);
  }
  quantise(p.tempo);
  assert_int_equal(notes, RL_QUANTISE_NOTES_MAX);
  for (int n = 0; n < notes; ++n) {
    note_is(n, 2 * n, n % 2, 2, 1);
  }
  assert_int_equal(feel.off_beats, RL_QUANTISE_NOTES_MAX / 2);
}

/* Notes that begin nearly together are one onset, and end together. */
static void
notes_at_once_have_one_place(void **state)
{
  (void)state;
  beats_lay(8, 1, false);
  for (int b = 0; b < 6; ++b) {
    for (int n = 0; n < 3; ++n) {
      note[notes++] = (RlGridNote){.at = b + 0.012 * n, .ends = b + 0.9 + 0.02 * n};
    }
  }
  quantise(100);
  for (int n = 0; n < notes; ++n) {
    note_is(n, n / 3, 0, 1, 1);
  }
}

/* All at the same time, as many as there may be. */
static void
all_notes_at_one_time_have_one_place(void **state)
{
  (void)state;
  beats_lay(4, 1, false);
  for (int n = 0; n < RL_QUANTISE_NOTES_MAX; ++n) {
    note[notes++] = (RlGridNote){.at = 2, .ends = 3};
  }
  quantise(100);
  for (int n = 0; n < notes; ++n) {
    note_is(n, 2, 0, 1, 1);
  }
}

/* A short note right before the next one, where there is no place for it. */
static void
of_two_notes_on_one_place_the_first_is_crushed(void **state)
{
  (void)state;
  beats_lay(8, 1, false);
  for (int b = 0; b < 6; ++b) {
    if (b == 3) {
      note[notes++] = (RlGridNote){.at = b - 0.03, .ends = b + 0.01};
    }
    note[notes++] = (RlGridNote){.at = b + 0.01, .ends = b + (b == 2 ? 0.96 : 0.99)};
  }
  quantise(100);
  int crushed = 0;
  for (int n = 0; n < notes; ++n) {
    crushed += note[n].crushed;
    if (!note[n].crushed) {
      note_is(n, n - crushed, 0, 1, 1);
    }
  }
  assert_int_equal(crushed, 1);
  assert_true(note[3].crushed);
}

/* quantise.h: notes at once have the same places, `on` comes before `off`, and an earlier note ends
   before a later one begins; whatever is played. */
static double
order_of(const RlGridPlace p)
{
  return p.beat + (double)p.part / p.parts;
}

static void
places_keep_their_order_whatever_is_played(void **state)
{
  unsigned seed = 40;
  (void)state;
  for (int round = 0; round < 200; ++round) {
    const double tempo = 50 + 200 * played_random(&seed);
    double       at    = played_random(&seed);
    beats_lay(40, round % 3 ? 1 : 1.5, round % 3 == 0);
    while (notes < 40) {
      const double lasts = 0.02 + played_random(&seed) * played_random(&seed) * 2;
      note[notes++]      = (RlGridNote){.at = at, .ends = fmin(at + lasts, 39.5)};
      at += (played_random(&seed) < 0.3 ? 0.02 : 1.5) * played_random(&seed) * lasts;
      if (at > 38) {
        break;
      }
    }
    quantise(tempo);
    const RlGridNote *last = NULL;
    for (int n = 0; n < notes; ++n) {
      if (!note[n].crushed) {
        assert_true(order_of(note[n].on) < order_of(note[n].off));
        assert_true(order_of(note[n].off) <= beats);
        assert_true(!last || order_of(last->off) <= order_of(note[n].on) ||
                    (order_of(last->on) == order_of(note[n].on) &&
                     order_of(last->off) == order_of(note[n].off)));
        last = &note[n];
      }
    }
    assert_non_null(last);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(straight_eighths_are_found),
    cmocka_unit_test(swung_eighths_are_found_and_their_swing_too),
    cmocka_unit_test(triplets_are_found_and_are_no_swing),
    cmocka_unit_test(sixteenths_and_sextuplets_are_found),
    cmocka_unit_test(dotted_beats_fall_into_thirds),
    cmocka_unit_test(lay_back_is_found),
    cmocka_unit_test(a_note_let_go_well_before_the_next_ends_before_a_rest),
    cmocka_unit_test(no_notes_have_no_feel),
    cmocka_unit_test(one_note_stands_on_its_beat),
    cmocka_unit_test(the_greatest_take_is_found),
    cmocka_unit_test(notes_at_once_have_one_place),
    cmocka_unit_test(all_notes_at_one_time_have_one_place),
    cmocka_unit_test(of_two_notes_on_one_place_the_first_is_crushed),
    cmocka_unit_test(places_keep_their_order_whatever_is_played),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
