/* SPDX-License-Identifier: ISC */
/* Tries on one note. Source: core/trainer/README.md. What is heard is made here from a known truth,
   with noise; vibrato is checked against a least-squares sine fit (IEEE Std 1057, the
   three-parameter fit, at each frequency of a fine grid). */
#include "core/trainer/trainer.h"
#include "core/trainer/tries.h"

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double turn = 6.283185307179586;
static const double pace = 24000.0 / 128; /* results a second, as the ear has them */

/* ---- chance, the same every time: SplitMix64 (Steele, Lea, Flood 2014) ---- */

static uint64_t seed;

static uint64_t
chance(void)
{
  uint64_t z = (seed += 0x9E3779B97F4A7C15U);
  z          = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
  z          = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
  return z ^ (z >> 31);
}

static double
between(const double low, const double high)
{
  return low + (high - low) * (double)(chance() >> 11) / 9007199254740992.0;
}

/* Normal, by Box and Muller. */
static double
noise(const double spread)
{
  return spread * sqrt(-2 * log(between(1e-12, 1))) * cos(turn * between(0, 1));
}

/* ---- playing ---- */

static RlTrainer trainer;
static double    at;
static int       ended;

static const RlAim point = {3, RL_DRAW_2, 57, 0, 0, 59};

static void
begin(const RlAim aim)
{
  rl_trainer_begin(&trainer, aim);
  at    = 100;
  ended = 0;
}

static void
hear(const bool sounds, const double off)
{
  ended += rl_trainer_hear(&trainer, at, sounds, (float)off);
  at += 1 / pace;
}

/* A straight line from one place to another, with noise. */
static void
glide(const double seconds, const double from, const double to, const double spread)
{
  const int n = (int)lround(seconds * pace);
  for (int i = 0; i < n; ++i) {
    hear(true, from + (to - from) * i / n + noise(spread));
  }
}

static void
rest(const double seconds)
{
  for (int i = 0; i < seconds * pace; ++i) {
    hear(false, 0);
  }
}

static const RlTry *
only_try(void)
{
  rest(0.5);
  assert_int_equal(ended, 1);
  assert_int_equal(trainer.count, 1);
  assert_true(trainer.now.seconds == 0);
  return &trainer.last[0];
}

static void
about(const double got, const double truth, const double by)
{
  if (!(fabs(got - truth) <= by)) {
    fail_msg("%g, not %g to within %g", got, truth, by);
  }
}

/* ---- held ---- */

static void
what_is_held_is_timed(void **state)
{
  (void)state;
  for (seed = 1; seed <= 40; ++seed) {
    const double near  = between(0.5, 3);
    const double rough = between(0.5, 3);
    begin(point);
    glide(near, 4, 4, 0.8);
    glide(rough, 15, 15, 0.8);
    glide(0.6, 45, 45, 0.8);
    glide(0.4, -3, -3, 0.8);
    const RlTry *const one = only_try();
    about(one->seconds, near + rough + 1, 0.06);
    about(one->longest[RL_NEAR], near, 0.06);
    about(one->held[RL_NEAR], near + 0.4, 0.09);
    about(one->longest[RL_ROUGH], near + rough, 0.06);
    about(one->held[RL_ROUGH], near + rough + 0.4, 0.09);
    assert_int_equal(rl_try_held(one), one->longest[RL_ROUGH] >= 1);
  }
}

static void
in_a_zone_all_of_it_is_as_good(void **state)
{
  const RlAim zone = {3, RL_DRAW_1, 58, 40, 25, 59};
  (void)state;
  seed = 2;
  begin(zone);
  glide(1, 22, 22, 0.5);
  glide(1, -24, -24, 0.5);
  glide(0.8, 40, 40, 0.5); /* 15 beside it */
  glide(0.5, 60, 60, 0.5);
  const RlTry *const one = only_try();
  about(one->longest[RL_NEAR], 2, 0.06);
  about(one->longest[RL_ROUGH], 2.8, 0.06);
}

/* ---- reached ---- */

static const struct {
  double    before[3]; /* cents at 0, 0.4 and 0.8 s, then at 0 */
  RlReached reached;
} ways[] = {
  {{200, 100, 40}, RL_REACHED_FROM_ABOVE},
  {{-60, -50, -45}, RL_REACHED_FROM_BELOW},
  {{200, -90, -40}, RL_REACHED_FROM_BELOW}, /* past it and back */
  {{-200, 120, 35}, RL_REACHED_FROM_ABOVE},
};

static void
it_is_reached_from_where_the_pitch_was_last(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(ways) / sizeof(ways[0]); ++i) {
    const double *const b = ways[i].before;
    seed                  = i;
    begin(point);
    glide(0.4, b[0], b[1], 1);
    glide(0.4, b[1], b[2], 1);
    glide(0.2, b[2], 0, 1);
    glide(1, 0, 0, 1);
    const RlTry *const one = only_try();
    assert_int_equal(one->reached, ways[i].reached);
    about(one->reached_in, 0.8 + 0.2 * (1 - 20 / fabs(b[2])), 0.04);
    assert_true(one->settled);
    about(one->mean, 0, 3);
  }
}

static void
a_plain_attack_is_at_once_and_a_far_one_never(void **state)
{
  (void)state;
  seed = 1;
  begin(point);
  glide(0.05, 30, 10, 1);
  glide(1, 5, 5, 1);
  assert_int_equal(only_try()->reached, RL_REACHED_AT_ONCE);
  begin(point);
  glide(0.5, 200, 100, 1); /* stuck half a step above it */
  glide(1.5, 100, 100, 1);
  const RlTry *const one = only_try();
  assert_int_equal(one->reached, RL_REACHED_NOT);
  assert_false(one->settled);
  assert_false(rl_try_held(one));
}

static void
mean_and_spread_are_those_of_what_was_played(void **state)
{
  (void)state;
  for (seed = 1; seed <= 60; ++seed) {
    const double mean   = between(-15, 15);
    const double spread = between(0.5, 6);
    begin(point);
    glide(0.5, 100, mean, 0.5);
    for (int i = 0; i < 6 * pace; ++i) { /* slow enough for a grid of 40 a second */
      static double drift;
      drift = i % 10 ? drift : noise(spread);
      hear(true, mean + drift);
    }
    const RlTry *const one = only_try();
    about(one->mean, mean, 0.4 + spread / 4);
    about(one->spread, spread, 0.6 + spread * 0.3);
  }
}

/* ---- vibrato ---- */

/* Solves 4 equations, by elimination with the largest pivot. */
static void
solve(double a[4][5], double x[4])
{
  for (int k = 0; k < 4; ++k) {
    int top = k;
    for (int i = k; i < 4; ++i) {
      top = fabs(a[i][k]) > fabs(a[top][k]) ? i : top;
    }
    for (int j = 0; j < 5; ++j) {
      const double swap = a[k][j];
      a[k][j]           = a[top][j];
      a[top][j]         = swap;
    }
    for (int i = k + 1; i < 4; ++i) {
      for (int j = 4; j >= k; --j) {
        a[i][j] -= a[i][k] / a[k][k] * a[k][j];
      }
    }
  }
  for (int k = 3; k >= 0; --k) {
    x[k] = a[k][4];
    for (int j = k + 1; j < 4; ++j) {
      x[k] -= a[k][j] * x[j];
    }
    x[k] /= a[k][k];
  }
}

/* Least squares of A cos + B sin + C + D t over a whole record; what is left. */
static double
sine_fit(const double *const y, const int n, const double rate, const double hz,
         double *const amplitude)
{
  double sums[4][5] = {{0}};
  double x[4];
  double left = 0;
  for (int pass = 0; pass < 2; ++pass) {
    for (int i = 0; i < n; ++i) {
      const double t    = i / rate;
      const double f[4] = {cos(turn * hz * t), sin(turn * hz * t), 1, t};
      double       fit  = 0;
      for (int a = 0; a < 4; ++a) {
        for (int b = 0; b < 4 && !pass; ++b) {
          sums[a][b] += f[a] * f[b];
        }
        sums[a][4] += pass ? 0 : f[a] * y[i];
        fit += pass ? x[a] * f[a] : 0;
      }
      left += pass ? (y[i] - fit) * (y[i] - fit) : 0;
    }
    if (!pass) {
      solve(sums, x);
      *amplitude = hypot(x[0], x[1]);
    }
  }
  return left;
}

static void
vibrato_is_what_a_least_squares_fit_finds(void **state)
{
  enum { MOST = 1200 };
  static double played[MOST];
  (void)state;
  for (seed = 1; seed <= 60; ++seed) {
    const double hz    = between(3.1, 7.9);
    const double depth = between(9, 60);
    const double start = between(0, turn);
    const double drift = between(-8, 8);
    const int    n     = (int)(between(2, 5) * pace);
    double       least = DBL_MAX, fit_hz = 0, fit_depth = 0;
    begin(point);
    for (int i = 0; i < n; ++i) {
      const double t = i / pace;
      played[i]      = drift * t + depth * sin(start + turn * hz * t) + noise(2);
      hear(true, played[i]);
    }
    const RlTry *const one = only_try();
    for (int k = 200; k < 900; ++k) {
      const double f = k / 100.0;
      double       amplitude;
      const double left = sine_fit(played, n, pace, f, &amplitude);
      fit_hz            = left < least ? f : fit_hz;
      fit_depth         = left < least ? amplitude : fit_depth;
      least             = fmin(left, least);
    }
    assert_true((double)one->vibrato_seconds > n / pace - 1.2);
    about(one->vibrato.hz, fit_hz, 0.12);
    about(one->vibrato.cents, fit_depth, 0.8 + 0.04 * fit_depth);
    about(fit_hz, hz, 0.05);
  }
}

static void
a_steady_or_gliding_or_shaky_note_has_no_vibrato(void **state)
{
  (void)state;
  for (seed = 1; seed <= 30; ++seed) {
    begin(point);
    glide(3, between(-10, 10), between(-10, 10), 2.5);
    assert_true(only_try()->vibrato_seconds == 0);
    begin(point);
    glide(2.5, 150, -150, 2.5);
    assert_true(only_try()->vibrato_seconds == 0);
  }
}

/* ---- where a try begins and ends ---- */

static void
a_short_gap_does_not_end_a_try_a_long_one_does(void **state)
{
  (void)state;
  seed = 1;
  begin(point);
  glide(0.6, 0, 0, 1);
  rest(0.1);
  glide(0.6, 0, 0, 1);
  const RlTry *const one = only_try();
  about(one->seconds, 1.3, 0.06);
  about(one->longest[RL_NEAR], 0.6, 0.06);
  about(one->held[RL_NEAR], 1.2, 0.09);
  int silent = 0;
  for (int i = 0; i < one->points; ++i) {
    silent += one->trace[i] == RL_TRY_SILENT;
  }
  assert_in_range(silent, 3, 5);
  begin(point);
  glide(0.6, 0, 0, 1);
  rest(0.25);
  glide(0.6, 0, 0, 1);
  rest(0.25);
  assert_int_equal(ended, 2);
}

static void
what_is_short_or_went_nowhere_is_not_kept(void **state)
{
  (void)state;
  seed = 1;
  begin(point);
  glide(0.2, 0, 0, 1);
  rest(0.3);
  glide(2, 200, 200, 2); /* the plain note, two half steps above a bend */
  rest(0.3);
  assert_int_equal(ended, 0);
  assert_int_equal(trainer.count, 0);
  glide(1, 200, 160, 1); /* towards it */
  rest(0.3);
  assert_int_equal(ended, 1);
}

static void
the_last_ten_are_there_the_newest_first(void **state)
{
  (void)state;
  seed = 1;
  begin(point);
  for (int i = 1; i <= 14; ++i) {
    glide(0.5 + 0.1 * i, 0, 0, 1);
    rest(0.3);
  }
  assert_int_equal(ended, 14);
  assert_int_equal(trainer.count, RL_TRIES_KEPT);
  for (int i = 0; i < RL_TRIES_KEPT; ++i) {
    about(trainer.last[i].seconds, 0.5 + 0.1 * (14 - i), 0.06);
  }
}

static void
news_may_come_at_any_rate(void **state)
{
  static const double rates[] = {30, 47, 60, 94, 188, 400};
  (void)state;
  for (size_t r = 0; r < sizeof(rates) / sizeof(rates[0]); ++r) {
    int kept = 0;
    rl_trainer_begin(&trainer, point);
    for (int i = 0; i < 3.5 * rates[r]; ++i) {
      const double t   = i / rates[r];
      const double off = t < 0.5 ? 100 - 200 * t : 12 * sin(turn * 5 * t);
      kept += rl_trainer_hear(&trainer, 7 + t, t < 3, (float)off);
    }
    const RlTry *const one = &trainer.last[0];
    assert_int_equal(kept, 1);
    about(one->seconds, 3, 0.1);
    assert_int_equal(one->reached, RL_REACHED_FROM_ABOVE);
    about(one->longest[RL_ROUGH], 2.6, 0.1);
    about(one->vibrato.hz, 5, 0.1);
    about(one->vibrato.cents, 12, 0.6);
  }
}

/* As the plugin tells it: only what has changed. */
static void
what_is_told_holds_until_told_otherwise(void **state)
{
  (void)state;
  rl_trainer_begin(&trainer, point);
  assert_false(rl_trainer_hear(&trainer, 3, false, 0));
  assert_false(rl_trainer_hear(&trainer, 5, true, 60));
  assert_false(rl_trainer_hear(&trainer, 5.8, true, 3));
  assert_false(rl_trainer_hear(&trainer, 5.79, true, 3)); /* a little late */
  assert_false(rl_trainer_hear(&trainer, 8.3, false, 0));
  assert_true(rl_trainer_hear(&trainer, 8.6, false, 0));
  const RlTry *const one = &trainer.last[0];
  about(one->seconds, 3.3, 0.06);
  about(one->longest[RL_NEAR], 2.5, 0.06);
  assert_int_equal(one->reached, RL_REACHED_FROM_ABOVE);
  about(one->reached_in, 0.8, 0.06);
  about(one->mean, 3, 0.5);
}

static void
a_trace_follows_however_long_the_try_is(void **state)
{
  (void)state;
  for (seed = 1; seed <= 20; ++seed) {
    const double seconds = between(0.5, 60);
    begin(point);
    glide(seconds, 300, -300, 0.5);
    const RlTry *const one = only_try();
    assert_true(one->points <= RL_TRY_TRACE && one->points >= RL_TRY_TRACE / 8);
    about(one->points * (double)one->pace, seconds, 0.1 + (double)one->pace);
    for (int i = 0; i < one->points; ++i) {
      const double t = (i + 0.5) * (double)one->pace;
      about(one->trace[i], 300 - 600 * t / seconds, 3 + 60 / seconds);
    }
  }
}

static void
whatever_comes_in_the_figures_hold_together(void **state)
{
  (void)state;
  for (seed = 1; seed <= 300; ++seed) {
    const double wild = between(0, 1);
    double       time = between(-1e6, 1e6);
    rl_trainer_begin(&trainer, (RlAim){3, RL_DRAW_1, 58, 40, (float)between(0, 30), 59});
    for (int i = 0; i < 2000; ++i) {
      const double how = between(0, 1);
      const double off = how < 0.02 * wild   ? (double)NAN
                         : how < 0.04 * wild ? (double)HUGE_VAL
                         : how < 0.06 * wild ? 1e30
                                             : noise(30);
      time += how < 0.002 * wild ? between(-5, 500) : between(0, 0.02);
      rl_trainer_hear(&trainer, time, between(0, 1) < 0.98, (float)off);
      const RlTry *const one = &trainer.now;
      if (one->seconds > 0) {
        assert_true(one->held[RL_NEAR] <= one->held[RL_ROUGH] + 1e-3F);
        assert_true(one->held[RL_ROUGH] <= one->seconds + 0.03F);
        assert_true(one->longest[RL_NEAR] <= one->held[RL_NEAR] + 1e-3F);
        assert_true(one->points >= 0 && one->points <= RL_TRY_TRACE);
        assert_true(!one->settled || (fabsf(one->mean) <= 80 && one->spread <= 80));
        assert_true(one->reached_in <= one->seconds);
      }
    }
  }
}

/* ---- what is aimed at ---- */

static void
a_blue_third_is_a_zone_in_its_key_only(void **state)
{
  const RlKey g = rl_key_named(7, false), gm = rl_key_named(7, true), c = rl_key_named(0, false);
  float       low, high;
  RlAim       aim = rl_aim_at((RlHarpChoice){0, 0, RL_RICHTER}, 3, RL_DRAW_1, RL_TEMPERED, g);
  (void)state;
  assert_int_equal(aim.midi, 70); /* Bb4 on a C harp: the flat third of G */
  about(aim.cents, 40, 1e-3);
  about(aim.room, 25, 1e-3);
  assert_true(rl_blue_zone(61, g, &low, &high)); /* Db: the flat fifth */
  assert_true(low >= 0 && high < 100);
  assert_false(rl_blue_zone(70, gm, &low, &high)); /* a plain third there */
  assert_true(rl_blue_zone(61, gm, &low, &high));
  assert_false(rl_blue_zone(70, c, &low, &high)); /* the flat seventh */
  aim = rl_aim_at((RlHarpChoice){0, 0, RL_RICHTER}, 3, RL_DRAW_1, RL_TEMPERED, c);
  assert_true(aim.cents == 0 && aim.room == 0);
  assert_int_equal(rl_aim_at((RlHarpChoice){0, 0, RL_RICHTER}, 5, RL_DRAW_1, RL_TEMPERED, g).midi,
                   0);
}

/* Ratios of just chords on a C harp: blown 4:5:6, drawn 4:5:6:7:9 over G, which is 3:2 of C. */
static void
just_reeds_are_just(void **state)
{
  static const struct {
    int         hole;
    RlTechnique technique;
    double      ratio;
  } reeds[] = {{1, RL_BLOW, 1},          {2, RL_BLOW, 1.25},       {3, RL_BLOW, 1.5},
               {2, RL_DRAW, 1.5},        {3, RL_DRAW, 1.5 * 1.25}, {4, RL_DRAW, 2.25},
               {5, RL_DRAW, 1.5 * 1.75}, {6, RL_DRAW, 1.5 * 2.25}};
  (void)state;
  for (int key = 0; key < 12; ++key) {
    for (size_t i = 0; i < sizeof(reeds) / sizeof(reeds[0]); ++i) {
      const RlHarpChoice choice = {(uint8_t)key, 0, RL_RICHTER};
      const RlAim        aim =
        rl_aim_at(choice, reeds[i].hole, reeds[i].technique, RL_JUST, rl_key_named(7, false));
      const int    one   = rl_harp_make(choice).note[0][RL_BLOW];
      const double cents = 1200 * log2(reeds[i].ratio);
      const double told  = 100.0 * (aim.midi - one) + (double)aim.cents;
      about(fmod(told - cents + 12600, 1200), 600, 0.02);
      assert_true(
        rl_aim_at(choice, reeds[i].hole, reeds[i].technique, RL_TEMPERED, rl_key_named(7, false))
          .cents == 0);
    }
  }
}

static void
a_bend_is_heard_from_its_plain_note_down_but_not_another_hole(void **state)
{
  const RlAim aim =
    rl_aim_at((RlHarpChoice){0, 0, RL_RICHTER}, 3, RL_DRAW_2, RL_TEMPERED, rl_key_named(0, false));
  float off = 0;
  (void)state;
  assert_true(rl_aim_hears(&aim, 3, RL_DRAW, 71, -5, &off));
  about(off, 195, 1e-3);
  assert_true(rl_aim_hears(&aim, 3, RL_DRAW_3, 68, 30, &off));
  about(off, -70, 1e-3);
  assert_false(rl_aim_hears(&aim, 3, RL_BLOW, 67, 0, &off));
  assert_false(rl_aim_hears(&aim, 2, RL_DRAW_2, 65, 0, &off));
}

/* 2 draw and 3 blow of a C harp are both G4. */
static void
one_pitch_in_two_holes_is_heard_from_either(void **state)
{
  const RlHarpChoice c      = {0, 0, RL_RICHTER};
  const RlKey        key    = rl_key_named(0, false);
  const RlAim        aims[] = {rl_aim_at(c, 2, RL_DRAW, RL_TEMPERED, key),
                               rl_aim_at(c, 2, RL_DRAW_2, RL_TEMPERED, key),
                               rl_aim_at(c, 3, RL_BLOW, RL_TEMPERED, key)};
  float              off    = 0;
  (void)state;
  for (int i = 0; i < 3; ++i) {
    assert_true(rl_aim_hears(&aims[i], 2, RL_DRAW, 67, 3, &off));
    about(off, i == 1 ? 203 : 3, 1e-3);
    assert_true(rl_aim_hears(&aims[i], 3, RL_BLOW, 67, 3, &off));
    about(off, i == 1 ? 203 : 3, 1e-3);
    assert_int_equal(rl_aim_hears(&aims[i], 2, RL_DRAW_1, 66, 0, &off), i < 2);
  }
}

/* ---- counted ---- */

static void
those_missed_most_come_first(void **state)
{
  static RlTries tries;
  RlTriedNote    missed[RL_HOLES * RL_TECHNIQUES];
  const RlHarp   harp = rl_harp_make((RlHarpChoice){0, 0, RL_RICHTER});
  const RlPlayer all  = {3, 3, true};
  (void)state;
  for (int i = 0; i < 10; ++i) {
    rl_tries_add(&tries, 2, RL_DRAW_2, i < 9);
    rl_tries_add(&tries, 3, RL_DRAW_2, i < 2);
    rl_tries_add(&tries, 4, RL_DRAW_1, i < 5);
    rl_tries_add(&tries, 6, RL_OVERBLOW, false);
    rl_tries_add(&tries, 1, RL_DRAW, false); /* no bend */
  }
  assert_int_equal(rl_tries_missed(&tries, &harp, all, missed), 4);
  assert_int_equal(missed[0].hole, 6);
  assert_int_equal(missed[1].hole, 3);
  assert_int_equal(missed[2].hole, 4);
  assert_int_equal(missed[3].hole, 2);
  assert_int_equal(rl_tries_missed(&tries, &harp, (RlPlayer){1, 1, false}, missed), 1);
  assert_int_equal(missed[0].hole, 4);
}

static void
counts_come_back_as_they_were_written(void **state)
{
  static RlTries tries, again;
  static char    words[RL_TRIES_TEXT + 1];
  (void)state;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    tries.note[i / RL_TECHNIQUES][i % RL_TECHNIQUES] =
      (RlTriesOf){RL_TRIES_MOST, RL_TRIES_MOST - i};
  }
  RlText text = rl_text_in(words, sizeof(words));
  rl_tries_write(&tries, &text);
  assert_true(text.used < RL_TRIES_TEXT);
  rl_tries_read(&again, rl_slice(words));
  assert_memory_equal(&again, &tries, sizeof(tries));
  rl_tries_read(&again,
                rl_slice("3 draw2 14 9\n\n# words\n4 sideways 1 1\n11 draw 1 1\n5 draw 1 2\n"
                         "6 blow 1\n  8\tblow1 7 0 more\n"));
  memset(&tries, 0, sizeof(tries));
  tries.note[2][RL_DRAW_2] = (RlTriesOf){14, 9};
  tries.note[7][RL_BLOW_1] = (RlTriesOf){7, 0};
  assert_memory_equal(&again, &tries, sizeof(tries));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(what_is_held_is_timed),
    cmocka_unit_test(in_a_zone_all_of_it_is_as_good),
    cmocka_unit_test(it_is_reached_from_where_the_pitch_was_last),
    cmocka_unit_test(a_plain_attack_is_at_once_and_a_far_one_never),
    cmocka_unit_test(mean_and_spread_are_those_of_what_was_played),
    cmocka_unit_test(vibrato_is_what_a_least_squares_fit_finds),
    cmocka_unit_test(a_steady_or_gliding_or_shaky_note_has_no_vibrato),
    cmocka_unit_test(a_short_gap_does_not_end_a_try_a_long_one_does),
    cmocka_unit_test(what_is_short_or_went_nowhere_is_not_kept),
    cmocka_unit_test(the_last_ten_are_there_the_newest_first),
    cmocka_unit_test(news_may_come_at_any_rate),
    cmocka_unit_test(what_is_told_holds_until_told_otherwise),
    cmocka_unit_test(a_trace_follows_however_long_the_try_is),
    cmocka_unit_test(whatever_comes_in_the_figures_hold_together),
    cmocka_unit_test(a_blue_third_is_a_zone_in_its_key_only),
    cmocka_unit_test(just_reeds_are_just),
    cmocka_unit_test(a_bend_is_heard_from_its_plain_note_down_but_not_another_hole),
    cmocka_unit_test(one_pitch_in_two_holes_is_heard_from_either),
    cmocka_unit_test(those_missed_most_come_first),
    cmocka_unit_test(counts_come_back_as_they_were_written),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
