/* SPDX-License-Identifier: ISC */
/* The player's clock. The arithmetic of taps is the test's own: interval = median, four felt beats
   counted from the first tap (common practice of counting in, no source). */
#include "core/clock/taps.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

enum { RATE = 48000 };

#define assert_near(a, b, most) assert_true(fabs((a) - (b)) <= (most))

static void
tap_after(RlTaps *const t, const int64_t frames)
{
  rl_taps_advance(t, frames);
  rl_taps_tap(t);
}

static RlTaps
tapped(const int taps, const int64_t interval)
{
  RlTaps t;
  rl_taps_init(&t, RATE);
  rl_taps_tap(&t);
  for (int i = 1; i < taps; ++i) {
    tap_after(&t, interval);
  }
  return t;
}

static void
nothing_is_known_before_two_taps(void **state)
{
  RlTaps t;
  (void)state;
  rl_taps_init(&t, RATE);
  assert_false(rl_taps_pulse(&t, 0).known);
  rl_taps_tap(&t);
  rl_taps_advance(&t, RATE);
  assert_false(rl_taps_pulse(&t, 0).known);
  assert_false(rl_taps_pulse(&t, 0).rolling);
}

static void
four_even_taps_count_in_and_the_next_felt_beat_is_bar_one(void **state)
{
  (void)state;
  for (int64_t interval = 12000; interval <= 72000; interval += 1111) {
    RlTaps t = tapped(4, interval);
    assert_near(rl_taps_pulse(&t, 0).felt, -1, 1e-9);
    assert_near(rl_taps_pulse(&t, interval).felt, 0, 1.0 / (double)interval);
    assert_near(rl_taps_pulse(&t, 9 * interval).felt, 8, 1.0 / (double)interval);
    assert_near(rl_taps_pulse(&t, 0).tempo, 60.0 * RATE / (double)interval, 1e-6);
  }
}

static void
two_taps_count_in_all_the_same(void **state)
{
  RlTaps t = tapped(2, 24000);
  (void)state;
  assert_true(rl_taps_pulse(&t, 0).rolling);
  assert_near(rl_taps_pulse(&t, 0).felt, -3, 1e-9);
  assert_near(rl_taps_pulse(&t, 3 * 24000).felt, 0, 1e-4);
  assert_true(rl_taps_pulse(&t, 0).sure < 1);
}

static int
compare(const void *const a, const void *const b)
{
  const double x = *(const double *)a;
  const double y = *(const double *)b;
  return (x > y) - (x < y);
}

static void
the_tempo_is_the_median_interval(void **state)
{
  (void)state;
  srand(1);
  for (int run = 0; run < 2000; ++run) {
    const int taps = 2 + rand() % 7;
    double    interval[8];
    RlTaps    t;
    rl_taps_init(&t, RATE);
    rl_taps_tap(&t);
    for (int i = 0; i + 1 < taps; ++i) {
      const int64_t frames = 24000 + rand() % 2000 - 1000;
      interval[i]          = (double)frames;
      tap_after(&t, frames);
    }
    qsort(interval, (size_t)taps - 1, sizeof(double), compare);
    const double median = (interval[(taps - 1) / 2] + interval[(taps - 2) / 2]) / 2;
    assert_near(rl_taps_pulse(&t, 0).tempo, 60.0 * RATE / median, 1e-6);
  }
}

/* Taps at these frames, the first now. */
static void
tap_all(RlTaps *const t, const int64_t *const at, const int count)
{
  for (int i = 0; i < count; ++i) {
    tap_after(t, i ? at[i] - at[i - 1] : 0);
  }
}

/* The beat is `frames` long, and one fell `ago` frames ago, which was the one `felt`. Asked eight
   beats on: a line that had got too far waits. */
static void
assert_beat(const RlTaps *const t, const int64_t frames, const int64_t ago, const double felt)
{
  const RlPulse p     = rl_taps_pulse(t, 8 * frames - ago);
  const double  tempo = 60.0 * RATE / (double)frames;
  if (fabs(p.tempo - tempo) > 0.005 * tempo || fabs(p.felt - felt - 8) > 0.02) {
    fail_msg("tempo %f, not %f; felt %f, not %f", p.tempo, tempo, p.felt - 8, felt);
  }
}

/* One tap of five to eight misses its beat by a quarter of it or more; the first good one counts.
 */
static void
a_wild_tap_is_ignored_in_a_count_in(void **state)
{
  enum { BEAT = 24000 };
  (void)state;
  for (int count = 5; count <= 8; ++count) {
    for (int wild = 0; wild < count; ++wild) {
      for (int off = -45; off <= 45; off += 5) {
        int64_t at[8];
        RlTaps  t;
        if (abs(off) < 25) {
          continue;
        }
        for (int i = 0; i < count; ++i) {
          at[i] = BEAT * (i + 1) + (i == wild ? BEAT * off / 100 : 0);
        }
        rl_taps_init(&t, RATE);
        tap_all(&t, at, count);
        const int last = wild == count - 1 ? count - 2 : count - 1;
        assert_beat(&t, BEAT, at[count - 1] - at[last], last - (wild == 0) - 4);
      }
    }
  }
}

/* A tap too many, anywhere between two; a double tap too. */
static void
a_tap_too_many_is_ignored_in_a_count_in(void **state)
{
  enum { BEAT = 30000 };
  (void)state;
  for (int count = 4; count <= 7; ++count) {
    for (int after = 0; after + 1 < count; ++after) {
      for (int part = 5; part <= 70; part += 5) {
        int64_t at[8];
        RlTaps  t;
        for (int i = 0, k = 0; i < count; ++i) {
          at[k++] = BEAT * i;
          if (i == after) {
            at[k++] = BEAT * i + BEAT * part / 100;
          }
        }
        rl_taps_init(&t, RATE);
        tap_all(&t, at, count + 1);
        assert_beat(&t, BEAT, 0, count - 1 - 4);
      }
    }
  }
}

/* While the music runs, no single tap throws it, wherever it falls, nor do good ones after it. */
static void
a_wild_tap_is_ignored_while_it_runs(void **state)
{
  enum { BEAT = 24000 };
  (void)state;
  for (int before = 0; before <= 4; ++before) {
    for (int part = 30; part <= 70; part += 5) {
      RlTaps t = tapped(4, BEAT);
      rl_taps_advance(&t, (int64_t)BEAT * 16);
      for (int i = 0; i < before; ++i) {
        tap_after(&t, BEAT);
        assert_beat(&t, BEAT, 0, 16 + i);
      }
      tap_after(&t, (int64_t)BEAT * (before ? 1 : 0) + (int64_t)BEAT * part / 100);
      assert_beat(&t, BEAT, (int64_t)BEAT * part / 100, 15 + before + (before == 0 ? 0 : 1));
      tap_after(&t, BEAT - (int64_t)BEAT * part / 100);
      for (int i = 0; i < 4; ++i) {
        assert_near(rl_taps_pulse(&t, 0).tempo, 120, 0.6);
        tap_after(&t, BEAT);
      }
      assert_near(rl_taps_pulse(&t, BEAT).felt, round(rl_taps_pulse(&t, BEAT).felt), 0.02);
    }
  }
}

/* Feet are up to 4 hundredths of a beat off, so an interval up to 8; the last tap, the tempo and a
   beat to come add up to 20 at worst. */
static void
uneven_taps_make_an_even_beat(void **state)
{
  enum { RUNS = 20000 };
  double tempo = 0, phase = 0; /* squares */
  (void)state;
  srand(3);
  for (int run = 0; run < RUNS; ++run) {
    const int     count = 4 + rand() % 5;
    const int64_t beat  = 14400 + rand() % 57600;
    int64_t       at[8] = {0};
    RlTaps        t;
    for (int i = 0; i < count; ++i) {
      at[i] = beat * (i + 1) + (rand() % 81 - 40) * beat / 1000;
    }
    rl_taps_init(&t, RATE);
    tap_all(&t, at, count);
    const RlPulse p         = rl_taps_pulse(&t, beat * (count + 1) - at[count - 1]);
    const double  tempo_off = p.tempo * (double)beat / 60 / RATE - 1;
    const double  phase_off = p.felt - (count - 4);
    assert_near(tempo_off, 0, 0.087);
    assert_near(phase_off, 0, 0.2);
    tempo += tempo_off * tempo_off / RUNS;
    phase += phase_off * phase_off / RUNS;
  }
  print_message("uneven taps: tempo %.3f, phase %.3f of a beat off (r.m.s.)\n", sqrt(tempo),
                sqrt(phase));
  assert_true(sqrt(tempo) < 0.025 && sqrt(phase) < 0.05);
}

static void
a_bounce_is_no_tap(void **state)
{
  RlTaps t = tapped(4, 24000);
  (void)state;
  tap_after(&t, 3000);
  assert_near(rl_taps_pulse(&t, 21000).felt, 0, 1e-4);
}

static void
a_tap_left_out_counts_as_two_beats(void **state)
{
  enum { BEAT = 24000 };
  (void)state;
  for (int gap = 2; gap <= 6; ++gap) { /* two beats before this tap, or three */
    for (int beats = 2; beats <= 3; ++beats) {
      RlTaps t;
      rl_taps_init(&t, RATE);
      rl_taps_tap(&t);
      for (int i = 1; i < 7; ++i) {
        tap_after(&t, (int64_t)BEAT * (i == gap ? beats : 1));
      }
      assert_beat(&t, BEAT, 0, 6 + beats - 1 - 4);
    }
  }
}

static void
tapping_again_moves_the_beat_without_going_back(void **state)
{
  (void)state;
  for (int late = -11000; late <= 11000; late += 1000) {
    RlTaps t = tapped(4, 24000);
    rl_taps_advance(&t, 24000 * 20 + late);
    double last = rl_taps_pulse(&t, 0).felt;
    for (int tap = 0; tap < 5; ++tap) {
      rl_taps_tap(&t);
      for (int i = 0; i < 24000; i += 100) {
        rl_taps_advance(&t, 100);
        assert_true(rl_taps_pulse(&t, 0).felt >= last - 1e-9);
        last = rl_taps_pulse(&t, 0).felt;
      }
    }
    assert_near(last, round(last), 0.01); /* the taps fall on beats now */
  }
}

static void
a_new_tempo_is_taken_up_after_three_taps(void **state)
{
  static const int64_t beats[] = {14400, 18000, 20000, 24000, 32000, 48000, 60000};
  (void)state;
  for (size_t old = 0; old < sizeof(beats) / sizeof(beats[0]); ++old) {
    for (size_t new = 0; new < sizeof(beats) / sizeof(beats[0]); ++new) {
      RlTaps t = tapped(4, beats[old]);
      rl_taps_advance(&t, beats[old] * 16 + 1234);
      rl_taps_tap(&t);
      tap_after(&t, beats[new]);
      tap_after(&t, beats[new]);
      assert_near(rl_taps_pulse(&t, 0).tempo, 60.0 * RATE / (double)beats[new], 0.01);
      tap_after(&t, beats[new]);
      const double felt = rl_taps_pulse(&t, beats[new]).felt;
      assert_near(felt, round(felt), 0.02);
    }
  }
}

/* Without a pause in between the old taps count too, for a while. */
static void
a_new_tempo_is_taken_up_in_the_middle_of_tapping(void **state)
{
  RlTaps t = tapped(8, 24000);
  (void)state;
  for (int i = 0; i < 5; ++i) {
    tap_after(&t, 32000);
  }
  assert_near(rl_taps_pulse(&t, 0).tempo, 90, 0.01);
}

static void
it_keeps_time_for_an_hour(void **state)
{
  const int beats = 3600 * RATE / 25000;
  RlTaps    t     = tapped(4, 25000);
  (void)state;
  for (int i = 0; i < beats; ++i) {
    rl_taps_advance(&t, 25000);
  }
  assert_near(rl_taps_pulse(&t, 0).felt, beats - 1, 1e-6);
}

static void
it_stops_and_the_next_taps_count_in_again(void **state)
{
  RlTaps t = tapped(4, 24000);
  (void)state;
  rl_taps_advance(&t, 24000 * 5);
  rl_taps_stop(&t);
  const double parked = rl_taps_pulse(&t, 0).felt;
  assert_false(rl_taps_pulse(&t, 0).rolling);
  assert_near(rl_taps_pulse(&t, 99999).felt, parked, 0);
  rl_taps_advance(&t, 24000 * 9);
  rl_taps_tap(&t);
  for (int i = 0; i < 3; ++i) {
    tap_after(&t, 30000);
  }
  assert_near(rl_taps_pulse(&t, 30000).felt, 0, 1e-4);
}

static void
it_starts_at_once_at_the_tempo_of_the_chart(void **state)
{
  RlTaps t;
  (void)state;
  rl_taps_init(&t, RATE);
  rl_taps_start(&t, 72);
  assert_true(rl_taps_pulse(&t, 0).rolling);
  assert_near(rl_taps_pulse(&t, 40000).felt, 1, 1e-6);
  rl_taps_init(&t, RATE);
  rl_taps_start(&t, 0);
  assert_near(rl_taps_pulse(&t, 0).tempo, 120, 1e-6);
}

static void
whatever_is_tapped_the_beat_never_goes_back_and_stays_finite(void **state)
{
  RlTaps t;
  double last = -HUGE_VAL;
  (void)state;
  srand(2);
  rl_taps_init(&t, RATE);
  for (int i = 0; i < 300000; ++i) {
    const bool was = rl_taps_pulse(&t, 0).rolling;
    rl_taps_advance(&t, rand() % 9000);
    const RlPulse before = rl_taps_pulse(&t, 0);
    if (rand() % 3 == 0) {
      rl_taps_tap(&t);
    } else if (rand() % 500 == 0) {
      rl_taps_stop(&t);
    }
    const RlPulse now = rl_taps_pulse(&t, 0);
    assert_true(isfinite(now.felt) && isfinite(now.per_frame) && now.per_frame >= 0);
    assert_true(now.tempo >= 0 && now.tempo <= 401 && now.sure < 1);
    if (was && before.rolling && now.rolling) {
      assert_true(before.felt >= last - 1e-6 && now.felt >= before.felt - 1e-6);
    }
    last = now.felt;
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(nothing_is_known_before_two_taps),
    cmocka_unit_test(four_even_taps_count_in_and_the_next_felt_beat_is_bar_one),
    cmocka_unit_test(two_taps_count_in_all_the_same),
    cmocka_unit_test(the_tempo_is_the_median_interval),
    cmocka_unit_test(a_wild_tap_is_ignored_in_a_count_in),
    cmocka_unit_test(a_tap_too_many_is_ignored_in_a_count_in),
    cmocka_unit_test(a_wild_tap_is_ignored_while_it_runs),
    cmocka_unit_test(uneven_taps_make_an_even_beat),
    cmocka_unit_test(a_bounce_is_no_tap),
    cmocka_unit_test(a_tap_left_out_counts_as_two_beats),
    cmocka_unit_test(tapping_again_moves_the_beat_without_going_back),
    cmocka_unit_test(a_new_tempo_is_taken_up_after_three_taps),
    cmocka_unit_test(a_new_tempo_is_taken_up_in_the_middle_of_tapping),
    cmocka_unit_test(it_keeps_time_for_an_hour),
    cmocka_unit_test(it_stops_and_the_next_taps_count_in_again),
    cmocka_unit_test(it_starts_at_once_at_the_tempo_of_the_chart),
    cmocka_unit_test(whatever_is_tapped_the_beat_never_goes_back_and_stays_finite),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
