/* The player's clock. The arithmetic of taps is the test's own: interval = median, four felt beats
   counted from the first tap (common practice of counting in, no source). */
#include "taps.h"

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

static void
a_wild_tap_is_ignored(void **state)
{
  static const int64_t wild[] = {6000, 8500, 15000,
                                 18000}; /* too soon, by that many frames, of 24000 */
  (void)state;
  for (size_t i = 0; i < sizeof(wild) / sizeof(wild[0]); ++i) {
    RlTaps t = tapped(6, 24000);
    tap_after(&t, wild[i] < 7200 ? 6000 : wild[i]);
    tap_after(&t, 24000 - (wild[i] < 7200 ? 6000 : wild[i]));
    assert_near(rl_taps_pulse(&t, 0).tempo, 120, 0.01);
    assert_near(rl_taps_pulse(&t, 24000 * 2).felt, 4, 0.02);
  }
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
  RlTaps t = tapped(3, 24000);
  (void)state;
  tap_after(&t, 48000);
  assert_near(rl_taps_pulse(&t, 0).tempo, 120, 0.01);
  assert_near(rl_taps_pulse(&t, 0).felt, 0, 1e-4);
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
a_new_tempo_is_taken_up(void **state)
{
  RlTaps t = tapped(4, 24000);
  (void)state;
  rl_taps_advance(&t, 24000 * 16);
  rl_taps_tap(&t);
  for (int i = 0; i < 7; ++i) {
    tap_after(&t, 32000);
  }
  assert_near(rl_taps_pulse(&t, 0).tempo, 90, 0.01);
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
whatever_is_tapped_it_never_goes_back_nor_out_of_its_mind(void **state)
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
    cmocka_unit_test(a_wild_tap_is_ignored),
    cmocka_unit_test(a_bounce_is_no_tap),
    cmocka_unit_test(a_tap_left_out_counts_as_two_beats),
    cmocka_unit_test(tapping_again_moves_the_beat_without_going_back),
    cmocka_unit_test(a_new_tempo_is_taken_up),
    cmocka_unit_test(it_stops_and_the_next_taps_count_in_again),
    cmocka_unit_test(it_starts_at_once_at_the_tempo_of_the_chart),
    cmocka_unit_test(whatever_is_tapped_it_never_goes_back_nor_out_of_its_mind),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
