/* SPDX-License-Identifier: ISC */
/* The player's ear names every hole of a harp by a synthetic reed, at any rate and in blocks of any
   size, hears what sounds together and how far a bend is off, and claims nothing where nobody
   plays. */
#include "core/ear/player/reed_ear.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double pi = 3.14159265358979323846;

static const RlHarpChoice c_harp = {0, 0, RL_RICHTER};
static const RlPlayer     able   = {3, 3, false};

static RlReedEar ear;

/* A reed: eight partials that fall 4 dB an octave, at a pitch in MIDI numbers, from `on` to `off`
 * seconds. */
static void
reed_add(float *const sound, const double rate, const double on, const double off,
         const double midi)
{
  const double hz = 440 * pow(2, (midi - 69) / 12);
  for (size_t i = (size_t)(on * rate); i < (size_t)(off * rate); ++i) {
    const double t     = (double)i / rate;
    const double shape = fmin(1, fmin((t - on) / 0.015, (off - t) / 0.015));
    for (int n = 1; n <= 8 && n * hz < 10000; ++n) {
      sound[i] += (float)(0.06 * shape * pow(n, -0.66) * sin(2 * pi * n * hz * t + n * n));
    }
  }
}

static float *
silence(const double rate, const double seconds)
{
  float *const sound = calloc((size_t)(rate * seconds) + 1, sizeof(float));
  uint32_t     seed  = 1;
  assert_non_null(sound);
  for (size_t i = 0; i < (size_t)(rate * seconds); ++i) {
    seed     = seed * 1664525U + 1013904223U;
    sound[i] = ((float)(seed >> 8) / 8388608.0F - 1) * 1e-4F;
  }
  return sound;
}

/* Hears from frame `from` to `to` in blocks of `block`; how many results came. */
static int
hear(const float *const sound, const size_t from, const size_t to, const uint32_t block)
{
  int results = 0;
  for (size_t at = from; at < to;) {
    bool           fresh;
    const uint32_t n = to - at < block ? (uint32_t)(to - at) : block;
    at += rl_reed_ear_hear(&ear, sound + at, n, &fresh);
    results += fresh;
    assert_in_range(ear.played.count, 0, RL_REED_TOGETHER);
    assert_true(ear.played.sure >= 0 && ear.played.sure <= 1.0001F);
  }
  return results;
}

static bool
is_played(const int hole, const int technique, const int midi)
{
  for (int i = 0; i < ear.played.count; ++i) {
    const RlPlayedNote *const n = &ear.played.note[i];
    if (n->midi == midi &&
        ((n->hole == hole && n->technique == technique) || ear.played.count == 1)) {
      return true;
    }
  }
  return false;
}

static void
every_hole_is_named(void **state)
{
  static const double rates[] = {22050, 44100, 48000, 96000, 192000};
  (void)state;
  for (size_t r = 0; r < sizeof(rates) / sizeof(rates[0]); ++r) {
    const double rate = rates[r];
    const RlHarp harp = rl_harp_make(c_harp);
    for (int h = 0; h < RL_HOLES; ++h) {
      for (int t = RL_BLOW; t <= RL_DRAW; ++t) {
        float *const sound = silence(rate, 0.5);
        reed_add(sound, rate, 0.1, 0.5, harp.note[h][t]);
        rl_reed_ear_init(&ear, &harp, able, rate);
        (void)hear(sound, 0, (size_t)(0.1 * rate), 64);
        assert_int_equal(ear.played.count, 0);
        (void)hear(sound, (size_t)(0.1 * rate), (size_t)(0.3 * rate), 997);
        if (!is_played(h + 1, t, harp.note[h][t])) {
          fail_msg("hole %d technique %d at %g Hz: heard %d, first hole %d technique %d", h + 1, t,
                   rate, ear.played.count, ear.played.note[0].hole, ear.played.note[0].technique);
        }
        free(sound);
      }
    }
  }
}

/* Draw 4 bent by 50 to 100 cents: within 5 cents. */
static void
a_bend_is_measured(void **state)
{
  const RlHarp harp = rl_harp_make(c_harp);
  (void)state;
  for (int cents = 60; cents <= 110; cents += 10) {
    float *const sound = silence(48000, 0.6);
    reed_add(sound, 48000, 0.1, 0.6, harp.note[3][RL_DRAW] - cents / 100.0);
    rl_reed_ear_init(&ear, &harp, able, 48000);
    (void)hear(sound, 0, (size_t)(0.5 * 48000), 256);
    assert_int_equal(ear.played.count, 1);
    assert_int_equal(ear.played.note[0].hole, 4);
    const double heard = ear.played.note[0].midi * 100.0 + (double)ear.played.note[0].cents;
    assert_true(fabs(heard - harp.note[3][RL_DRAW] * 100.0 + cents) < 5);
    free(sound);
  }
}

/* A harp 22 cents flat, known by then: 1 draw of a low harp pulled down by 42 is still 1 draw, not
 * its bend. */
static void
a_flat_harp_bends_from_its_own_pitch(void **state)
{
  const RlHarp harp  = rl_harp_make((RlHarpChoice){0, -1, RL_RICHTER});
  float *const sound = silence(48000, 9);
  (void)state;
  for (int i = 0; i < 10; ++i) {
    reed_add(sound, 48000, 0.1 + 0.8 * i, 0.8 + 0.8 * i, harp.note[0][RL_DRAW] - 0.22);
  }
  reed_add(sound, 48000, 8.1, 8.9, harp.note[0][RL_DRAW] - 0.64);
  rl_reed_ear_init(&ear, &harp, able, 48000);
  (void)hear(sound, 0, (size_t)(8.7 * 48000), 256);
  assert_int_equal(ear.played.count, 1);
  assert_int_equal(ear.played.note[0].hole, 1);
  assert_int_equal(ear.played.note[0].technique, RL_DRAW);
  assert_true(fabs((double)ear.played.note[0].cents + 64) < 5);
  free(sound);
}

static void
neighbours_are_heard_together(void **state)
{
  const RlHarp harp  = rl_harp_make(c_harp);
  int          right = 0;
  (void)state;
  for (int h = 0; h < RL_HOLES - 1; ++h) {
    float *const sound = silence(48000, 0.6);
    reed_add(sound, 48000, 0.1, 0.6, harp.note[h][RL_DRAW] + 0.02);
    reed_add(sound, 48000, 0.1, 0.6, harp.note[h + 1][RL_DRAW] - 0.03);
    rl_reed_ear_init(&ear, &harp, able, 48000);
    (void)hear(sound, 0, (size_t)(0.5 * 48000), 256);
    right +=
      ear.played.count == 2 && ear.played.note[0].hole == h + 1 && ear.played.note[1].hole == h + 2;
    free(sound);
  }
  assert_in_range(right, 8, 9);
}

static void
nothing_is_claimed_of_noise_and_nonsense(void **state)
{
  static const float nonsense[] = {NAN, INFINITY, -INFINITY, 1e30F, -1e30F, 1e-40F, 0};
  const RlHarp       harp       = rl_harp_make(c_harp);
  float *const       sound      = silence(48000, 2);
  int                claimed    = 0;
  (void)state;
  rl_reed_ear_init(&ear, &harp, able, 48000);
  for (size_t at = 0; at < 96000; at += 256) {
    (void)hear(sound, at, at + 256, 256);
    claimed += ear.played.count > 0;
  }
  assert_int_equal(claimed, 0);
  for (size_t i = 0; i < 48000; ++i) {
    sound[i] = nonsense[i % 7];
  }
  (void)hear(sound, 0, 48000, 333);
  memset(sound, 0, 96000 * sizeof(float));
  (void)hear(sound, 0, 48000, 333);
  assert_int_equal(ear.played.count, 0);
  reed_add(sound, 48000, 1.1, 1.9, harp.note[4][RL_BLOW]);
  (void)hear(sound, 48000, 48000 + 24000, 333);
  assert_int_equal(ear.played.count, 1);
  assert_int_equal(ear.played.note[0].hole, 5);
  free(sound);
}

/* A square of 480 Hz in full scale, as a low harp's highest reeds would never sound. */
static void
cents_stay_near_the_note(void **state)
{
  static const RlHarpChoice low   = {5, 1, RL_COUNTRY};
  const RlHarp              harp  = rl_harp_make(low);
  float *const              sound = silence(48000, 1);
  (void)state;
  for (int period = 20; period < 140; ++period) {
    for (int i = 0; i < 48000; ++i) {
      sound[i] = i % period < period / 2 ? 1 : -1;
    }
    rl_reed_ear_init(&ear, &harp, able, 48000);
    for (size_t at = 0; at < 12000; at += 128) {
      (void)hear(sound, at, at + 128, 128);
      for (int i = 0; i < ear.played.count; ++i) {
        assert_true(fabsf(ear.played.note[i].cents) <= 75);
      }
    }
  }
  free(sound);
}

/* 3 overblow sounds as 4 blow does: after any breath the easier one is told. */
static void
the_easier_of_two_is_told(void **state)
{
  const RlHarp harp = rl_harp_make(c_harp);
  (void)state;
  assert_int_equal(harp.note[2][RL_OVERBLOW], harp.note[3][RL_BLOW]);
  for (int breath = RL_BLOW; breath <= RL_DRAW; ++breath) {
    float *const sound = silence(48000, 1);
    reed_add(sound, 48000, 0.1, 0.4, harp.note[0][breath]);
    reed_add(sound, 48000, 0.5, 0.9, harp.note[3][RL_BLOW]);
    rl_reed_ear_init(&ear, &harp, (RlPlayer){3, 3, true}, 48000);
    (void)hear(sound, 0, (size_t)(0.8 * 48000), 256);
    assert_int_equal(ear.played.count, 1);
    assert_int_equal(ear.played.note[0].hole, 4);
    assert_int_equal(ear.played.note[0].technique, RL_BLOW);
    free(sound);
  }
}

/* The same sound in any blocks: the same results. */
static void
blocks_make_no_difference(void **state)
{
  static const uint32_t blocks[] = {1, 7, 64, 1024, 8192};
  const RlHarp          harp     = rl_harp_make((RlHarpChoice){10, 0, RL_RICHTER});
  float *const          sound    = silence(44100, 2);
  RlPlayed              first    = {0};
  int                   results  = 0;
  (void)state;
  for (int i = 0; i < 12; ++i) {
    reed_add(sound, 44100, 0.15 * i, 0.15 * i + 0.15, harp.note[i % 10][i % 2]);
  }
  for (size_t b = 0; b < sizeof(blocks) / sizeof(blocks[0]); ++b) {
    rl_reed_ear_init(&ear, &harp, able, 44100);
    const int now = hear(sound, 0, 80000, blocks[b]);
    if (b) {
      assert_int_equal(now, results);
      assert_memory_equal(&ear.played, &first, sizeof(first));
    }
    first   = ear.played;
    results = now;
  }
  free(sound);
}

/* Silence behind what is very loud: the loud energies swallow the little that keeps their
   difference from 0. */
static void
silence_behind_a_roar_stays_a_number(void **const state)
{
  const double rate  = 24000;
  float *const sound = calloc((size_t)rate, sizeof(float));
  const RlHarp harp  = rl_harp_make(c_harp);
  (void)state;
  assert_non_null(sound);
  for (size_t i = 0; i < (size_t)(rate / 2); ++i) {
    sound[i] = i / 40 % 2 ? 8 : -8;
  }
  rl_reed_ear_init(&ear, &harp, able, rate);
  for (size_t at = 0; at < (size_t)rate;) {
    bool fresh;
    at += rl_reed_ear_hear(&ear, sound + at, (uint32_t)((size_t)rate - at), &fresh);
    for (int w = 0; w < RL_WINDOWS; ++w) {
      for (int lag = 0; lag < ear.tape.lags; ++lag) {
        assert_true(isfinite(ear.tape.alike[w][lag]));
      }
    }
  }
  free(sound);
}

static RlReeds      reeds;
static RlLines      lines;
static RlBeats      beats;
static RlBackground background;
static RlReedMemory memory;

/* The newest block against what came `lag` earlier, sample by sample. */
static double
product_of(const RlTape *const tape, const int lag)
{
  const float *const block = tape->sound + tape->end - RL_TAPE_BLOCK;
  double             sum   = 0;
  for (int i = 0; i < RL_TAPE_BLOCK; ++i) {
    sum += (double)block[i] * (double)block[i - lag];
  }
  return sum;
}

/* How strong the newest block is at a frequency, about its middle. */
static double
strength_of(const RlTape *const tape, const double hz)
{
  const float *const block = tape->sound + tape->end - RL_TAPE_BLOCK;
  double             re = 0, im = 0;
  for (int i = 0; i < RL_TAPE_BLOCK; ++i) {
    const double turn = 2 * pi * hz / RL_EAR_RATE * (i - 63.5);
    re += (double)block[i] * cos(turn);
    im += (double)block[i] * sin(turn);
  }
  return hypot(re, im);
}

/* Lag products and lines come from one spectrum; they are those of the sound itself. */
static void
spectra_are_those_of_the_sound(void **state)
{
  (void)state;
  for (int range = -1; range <= 1; ++range) {
    const RlHarp harp  = rl_harp_make((RlHarpChoice){7, (int8_t)range, RL_RICHTER});
    float *const sound = silence(48000, 1);
    reed_add(sound, 48000, 0.1, 0.9, 61.3);
    reed_add(sound, 48000, 0.3, 0.7, 83.8);
    rl_reed_ear_init(&ear, &harp, able, 48000);
    for (uint32_t at = 0; at < 40000;) {
      bool fresh;
      at += rl_reed_ear_hear(&ear, sound + at, 40000 - at, &fresh);
      const double most = product_of(&ear.tape, 0), loud = sqrt(most * RL_TAPE_BLOCK);
      for (int lag = 0; fresh && lag < ear.tape.lags; lag += 7) {
        const double is = (double)ear.tape.product[ear.tape.newest][lag];
        assert_true(fabs(is - product_of(&ear.tape, lag)) < 1e-4 * most + 1e-9);
      }
      for (int i = 0; fresh && i < ear.lines.count; i += 3) {
        const int    row = ear.lines.newest;
        const double is  = hypot((double)ear.lines.re[row][i], (double)ear.lines.im[row][i]);
        const double was = strength_of(&ear.tape, (double)ear.reeds.line_hz[i]);
        assert_true(fabs(is - was) < 1e-4 * loud + 1e-7);
      }
    }
    free(sound);
  }
}

/* What has three periods is taken away by three combs, and not by two. */
static void
combs_take_periods_away(void **state)
{
  (void)state;
  static RlTape      tape;
  static const float lag[] = {60, 75.5F, 88.3F};
  rl_tape_init(&tape, 320, 260);
  for (int i = 0, lacks; i < 40 * RL_TAPE_BLOCK; ++i) {
    float *const to = rl_tape_room(&tape, &lacks);
    *to             = 0;
    for (int n = 0; n < 3; ++n) {
      *to +=
        (float)(0.1 * sin(2 * pi * i / (double)lag[n]) + 0.05 * sin(4 * pi * i / (double)lag[n]));
    }
    if (rl_tape_put(&tape, 1)) {
      rl_tape_block(&tape);
    }
  }
  rl_tape_compare(&tape);
  assert_true(rl_tape_left(&tape, RL_LONG, lag, 3) < 0.03F);
  assert_true(rl_tape_left(&tape, RL_LONG, lag, 2) > 0.1F);
  assert_true(rl_tape_left(&tape, RL_LONG, lag + 1, 2) > 0.1F);
  assert_true(rl_tape_left(&tape, RL_LONG, lag, 1) > 0.3F);
  assert_true(rl_tape_between(&tape, RL_LONG, 400) == 0); /* beyond its end */
}

/* How strong the lows of a steady sine are said to be, of its power. */
static double
lows_of(const double hz)
{
  static RlTape tape;
  rl_tape_init(&tape, 320, 260);
  for (int i = 0, lacks; i < 80 * RL_TAPE_BLOCK; ++i) {
    float *const to = rl_tape_room(&tape, &lacks);
    *to             = (float)(0.1 * sin(2 * pi * hz * i / RL_EAR_RATE));
    if (rl_tape_put(&tape, 1)) {
      rl_tape_block(&tape);
    }
  }
  return (double)tape.lows / 0.005;
}

/* A bass lies below the harp, the harp's lowest note does not. */
static void
lows_lie_below_the_harp(void **state)
{
  (void)state;
  assert_true(lows_of(55) > 0.25);
  assert_true(lows_of(262) < 0.01);
  assert_true(lows_of(1000) < 1e-4);
}

static void
reeds_make(void)
{
  const RlHarp harp = rl_harp_make(c_harp);
  memset(&lines, 0, sizeof(lines));
  memset(&beats, 0, sizeof(beats));
  rl_reeds_init(&reeds, &harp, able, RL_EAR_RATE);
  lines.count = reeds.lines;
}

/* What sounds while nothing is played is remembered; a note that is played is not taken for it. */
static void
what_sounds_behind(void **state)
{
  (void)state;
  reeds_make();
  rl_background_init(&background);
  const int w = reeds.note[0].line[0];
  for (int i = 0; i < lines.count; ++i) {
    lines.past[0][i] = -40;
  }
  lines.level[0] = -30;
  for (int b = 0; b < 600; ++b) {
    rl_background_block(&background, &reeds, &lines, reeds.states);
  }
  assert_float_equal(background.line[w], -40, 0.5);
  assert_float_equal(background.level, -30, 0.5);
  lines.past[0][w] = -10;
  for (int b = 0; b < 600; ++b) {
    rl_background_block(&background, &reeds, &lines, 0); /* the first state: note 0 alone */
  }
  assert_float_equal(background.line[w], -40, 0.5);
}

/* Partials in step are those of a reed alone, partials that turn those of an octave. */
static void
what_reeds_are_known(void **state)
{
  (void)state;
  reeds_make();
  rl_reed_memory_init(&memory);
  const RlReedNote *const n         = &reeds.note[0];
  lines.slow[n->line[0]]            = -20;
  lines.slow[n->line[1]]            = -26;
  beats.mean[RL_BEAT_SECOND_FAR][0] = 1;
  for (int b = 0; b < 8; ++b) {
    rl_reed_memory_partials(&memory, &reeds, 0, RL_KNOWN_OCTAVE, &lines, &beats);
  }
  assert_false(rl_reed_known(&memory, 0, RL_KNOWN_OCTAVE));
  for (int b = 0; b < 8; ++b) {
    rl_reed_memory_partials(&memory, &reeds, 0, RL_KNOWN_ALONE, &lines, &beats);
  }
  assert_true(rl_reed_known(&memory, 0, RL_KNOWN_ALONE));
  lines.slow[n->line[1]] = -17;
  assert_float_equal(
    rl_reed_beside_known(&memory, &reeds, 0, RL_KNOWN_ALONE, &lines, RL_KNOWN_SECOND), 9, 0.01);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(what_sounds_behind),
    cmocka_unit_test(what_reeds_are_known),
    cmocka_unit_test(silence_behind_a_roar_stays_a_number),
    cmocka_unit_test(spectra_are_those_of_the_sound),
    cmocka_unit_test(combs_take_periods_away),
    cmocka_unit_test(lows_lie_below_the_harp),
    cmocka_unit_test(every_hole_is_named),
    cmocka_unit_test(a_bend_is_measured),
    cmocka_unit_test(a_flat_harp_bends_from_its_own_pitch),
    cmocka_unit_test(neighbours_are_heard_together),
    cmocka_unit_test(nothing_is_claimed_of_noise_and_nonsense),
    cmocka_unit_test(cents_stay_near_the_note),
    cmocka_unit_test(the_easier_of_two_is_told),
    cmocka_unit_test(blocks_make_no_difference),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
