/* SPDX-License-Identifier: ISC */
/* The clock that follows by ear: a late report is not a late beat, noise does not turn the music
   round, and what is out of date is not believed. */
#include "core/clock/heard.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

enum { RATE = 48000, TEMPO = 96, BEAT = RATE * 60 / TEMPO, LATE = RATE / 10, TENTH = RATE / 10 };

static RlHeardReport
truth(const int64_t frame)
{
  return (RlHeardReport){true, true, frame, (double)frame / BEAT, TEMPO, 0.9F};
}

/* Reports every tenth of a second, each a tenth late, for so many seconds. */
static void
follow(RlHeard *const h, const int seconds)
{
  for (int i = 0; i < 10 * seconds; ++i) {
    rl_heard_advance(h, TENTH);
    const RlHeardReport r = truth(h->now - LATE);
    rl_heard_report(h, &r);
  }
}

static void
a_late_report_is_not_a_late_beat(void **const state)
{
  RlHeard h;
  (void)state;
  rl_heard_init(&h, RATE);
  assert_false(rl_heard_pulse(&h, 0).known);
  follow(&h, 1);
  for (int i = 0; i < 100; ++i) {
    follow(&h, 1);
    const RlPulse p = rl_heard_pulse(&h, 777);
    assert_true(p.known && p.rolling);
    assert_float_equal(p.felt, (double)(h.now + 777) / BEAT, 1e-6);
    assert_float_equal(p.tempo, TEMPO, 1e-6);
    assert_float_equal(p.sure, 0.9, 1e-6);
  }
}

static void
noise_is_smoothed_and_never_goes_backwards(void **const state)
{
  RlHeard  h;
  uint32_t seed  = 7;
  double   worst = 0, last = 0;
  (void)state;
  rl_heard_init(&h, RATE);
  follow(&h, 2);
  for (int i = 0; i < 2000; ++i) {
    rl_heard_advance(&h, TENTH);
    seed            = seed * 1664525U + 1013904223U;
    RlHeardReport r = truth(h.now - LATE);
    r.felt += 0.06 * ((double)seed / 4294967296.0 - 0.5);
    rl_heard_report(&h, &r);
    const double felt = rl_heard_pulse(&h, 0).felt;
    assert_true(felt >= last);
    last  = felt;
    worst = fmax(worst, fabs(felt - (double)h.now / BEAT));
  }
  assert_true(worst < 0.025);
}

static void
another_place_is_a_jump(void **const state)
{
  RlHeard h;
  (void)state;
  rl_heard_init(&h, RATE);
  follow(&h, 4);
  RlHeardReport r = truth(h.now);
  r.felt -= 17;
  assert_true(rl_heard_report(&h, &r));
  assert_float_equal(rl_heard_pulse(&h, 0).felt, r.felt, 1e-6);
}

static void
what_was_heard_before_a_move_counts_no_longer(void **const state)
{
  RlHeard h;
  (void)state;
  rl_heard_init(&h, RATE);
  follow(&h, 4);
  const RlHeardReport old = truth(h.now - 1);
  RlHeardReport new       = truth(h.now);
  new.felt                = 3;
  rl_heard_move(&h, NULL);
  assert_false(rl_heard_report(&h, &old));
  assert_false(rl_heard_pulse(&h, 0).known);
  assert_true(rl_heard_report(&h, &new));
  assert_float_equal(rl_heard_pulse(&h, 0).felt, 3, 1e-9);
  new.felt = 9;
  rl_heard_move(&h, &new); /* seen on an earlier pass */
  assert_float_equal(rl_heard_pulse(&h, BEAT).felt, 10, 1e-6);
  assert_false(rl_heard_report(&h, &old));
}

static void
reports_that_stay_away_end_it(void **const state)
{
  RlHeard h;
  (void)state;
  rl_heard_init(&h, RATE);
  follow(&h, 4);
  rl_heard_advance(&h, 7 * RATE);
  assert_true(rl_heard_pulse(&h, 0).known);
  assert_true(rl_heard_pulse(&h, 0).straight <= RATE);
  rl_heard_advance(&h, RATE);
  assert_false(rl_heard_pulse(&h, 0).known);
}

static void
a_pause_holds_the_place(void **const state)
{
  RlHeard h;
  (void)state;
  rl_heard_init(&h, RATE);
  follow(&h, 4);
  RlHeardReport r = truth(h.now - LATE);
  r.rolling       = false;
  rl_heard_report(&h, &r);
  rl_heard_advance(&h, 3600LL * RATE);
  const RlPulse p = rl_heard_pulse(&h, 0);
  assert_true(p.known && !p.rolling);
  assert_float_equal(p.felt, r.felt, 1e-9);
  assert_float_equal(p.tempo, TEMPO, 1e-6);
}

static void
nobody_sure_is_no_place(void **const state)
{
  RlHeard             h;
  const RlHeardReport nobody = {false, false, 0, 0, 0, 0};
  (void)state;
  rl_heard_init(&h, RATE);
  assert_false(rl_heard_report(&h, &nobody));
  follow(&h, 4);
  RlHeardReport r = nobody;
  r.frame         = h.now;
  assert_true(rl_heard_report(&h, &r));
  assert_false(rl_heard_pulse(&h, 0).known);
  r = truth(h.now + 1); /* of the future: no such frame */
  assert_false(rl_heard_report(&h, &r));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_late_report_is_not_a_late_beat),
    cmocka_unit_test(noise_is_smoothed_and_never_goes_backwards),
    cmocka_unit_test(another_place_is_a_jump),
    cmocka_unit_test(what_was_heard_before_a_move_counts_no_longer),
    cmocka_unit_test(reports_that_stay_away_end_it),
    cmocka_unit_test(a_pause_holds_the_place),
    cmocka_unit_test(nobody_sure_is_no_place),
  };
  return cmocka_run_group_tests_name("heard", tests, NULL, NULL);
}
