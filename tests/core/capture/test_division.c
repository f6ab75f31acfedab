/* SPDX-License-Identifier: ISC */
/* The ways to divide a beat: where their places lie, and which are likelier. Which divisions there
   are is common practice, no source; expected values by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/capture/division.h"

#include <math.h>

static const double swings[] = {0.5, 0.55, 0.6, 2.0 / 3, 0.7};

enum { SWINGS = sizeof(swings) / sizeof(swings[0]) };

static void
close_to(const double is, const double wanted)
{
  if (fabs(is - wanted) > 1e-12) {
    fail_msg("%.15g is not %.15g", is, wanted);
  }
}

/* The division of so many parts that may be used; of two, the one that swings or not as asked. */
static int
division_of(const int parts, const bool swings_too)
{
  for (int i = 0; i < RL_DIVISIONS; ++i) {
    if (rl_divisions[i].parts == parts && rl_divisions[i].swings == swings_too) {
      return i;
    }
  }
  fail_msg("no division into %d parts", parts);
  return 0;
}

static double
cost_of(const int division, const unsigned set, const bool dotted, const bool swung,
        const double ms)
{
  return rl_division_cost(&rl_divisions[division], set, dotted, swung, ms);
}

static void
the_first_division_is_the_undivided_beat(void **state)
{
  (void)state;
  assert_int_equal(rl_divisions[0].parts, 1);
  for (int kind = 0; kind < 4; ++kind) {
    assert_true(rl_division_may(&rl_divisions[0], kind & 1, kind & 2));
  }
}

static void
places_lie_in_order_from_the_beat_to_the_next(void **state)
{
  (void)state;
  for (int i = 0; i < RL_DIVISIONS; ++i) {
    for (int s = 0; s < SWINGS; ++s) {
      const RlDivision *const d = &rl_divisions[i];
      close_to(rl_division_at(d, swings[s], 0), 0);
      close_to(rl_division_at(d, swings[s], d->parts), 1);
      for (int part = 0; part < d->parts; ++part) {
        assert_true(rl_division_at(d, swings[s], part) < rl_division_at(d, swings[s], part + 1));
      }
    }
  }
}

static void
off_beats_lie_at_the_swing_and_thirds_do_not_move(void **state)
{
  const RlDivision *const two   = &rl_divisions[division_of(2, true)];
  const RlDivision *const three = &rl_divisions[division_of(3, false)];
  const RlDivision *const four  = &rl_divisions[division_of(4, true)];
  const RlDivision *const even  = &rl_divisions[division_of(4, false)];
  (void)state;
  close_to(rl_division_at(two, 0.6, 1), 0.6);
  close_to(rl_division_at(three, 0.6, 1), 1.0 / 3);
  close_to(rl_division_at(three, 0.6, 2), 2.0 / 3);
  close_to(rl_division_at(four, 0.6, 1), 0.3); /* halfway to the off-beat */
  close_to(rl_division_at(four, 0.6, 2), 0.6);
  close_to(rl_division_at(four, 0.6, 3), 0.8); /* halfway from there to the next beat */
  close_to(rl_division_at(even, 0.6, 3), 0.75);
}

/* Against a search through all places. */
static void
the_nearest_place_is_found(void **state)
{
  (void)state;
  for (int i = 0; i < RL_DIVISIONS; ++i) {
    for (int s = 0; s < SWINGS; ++s) {
      const RlDivision *const d = &rl_divisions[i];
      for (int step = -100; step <= 1100; ++step) {
        const double time = (step + 0.37) / 1000;
        const int    near = rl_division_near(d, swings[s], time);
        assert_in_range(near, 0, d->parts);
        for (int part = 0; part <= d->parts; ++part) {
          assert_true(fabs(time - rl_division_at(d, swings[s], near)) <=
                      fabs(time - rl_division_at(d, swings[s], part)) + 1e-12);
        }
      }
    }
  }
}

/* Two divisions with the same places would share what is likely between them. */
static void
no_two_divisions_of_a_beat_have_the_same_places(void **state)
{
  (void)state;
  for (int kind = 0; kind < 4; ++kind) {
    const bool dotted = kind & 1, swung = kind & 2;
    for (int i = 0; i < RL_DIVISIONS; ++i) {
      for (int k = 0; k < i; ++k) {
        const RlDivision *const a = &rl_divisions[i], *const b = &rl_divisions[k];
        const bool both = rl_division_may(a, dotted, swung) && rl_division_may(b, dotted, swung);
        assert_false(both && a->parts == b->parts && (!swung || a->swings == b->swings));
      }
    }
  }
  assert_false(rl_division_may(&rl_divisions[division_of(2, true)], true, false));
  assert_true(rl_division_may(&rl_divisions[division_of(3, false)], true, false));
}

static void
one_note_on_a_slow_beat_costs_nothing(void **state)
{
  (void)state;
  close_to(cost_of(0, 1, false, false, 1000), 0);
  for (int i = 1; i < RL_DIVISIONS; ++i) {
    for (int kind = 0; kind < 4; ++kind) {
      assert_true(cost_of(i, 1, kind & 1, kind & 2, 1000) > 0);
    }
  }
}

static void
shorter_places_cost_more(void **state)
{
  (void)state;
  for (int i = 0; i < RL_DIVISIONS; ++i) {
    const int    parts = rl_divisions[i].parts;
    const double slow  = cost_of(i, 1, false, false, 110.0 * parts);
    close_to(cost_of(i, 1, false, false, 500.0 * parts), slow);
    close_to(cost_of(i, 1, false, false, 90.0 * parts), slow + 1);
    close_to(cost_of(i, 1, false, false, 70.0 * parts), slow + 2);
  }
}

/* Beginning and last third: in straight time a triplet, in swing two eighths. */
static void
in_swing_two_notes_are_eighths_and_three_a_triplet(void **state)
{
  const int      two = division_of(2, true), three = division_of(3, false);
  const unsigned pair = 1 | 4, all = 1 | 2 | 4;
  (void)state;
  assert_true(cost_of(three, pair, false, true, 600) > cost_of(two, 1 | 2, false, true, 600) + 2);
  assert_true(cost_of(three, pair, false, true, 600) > cost_of(three, pair, false, false, 600));
  close_to(cost_of(three, all, false, true, 600), cost_of(three, all, false, false, 600));
  assert_true(cost_of(three, all, true, false, 600) < cost_of(three, all, false, false, 600));
}

static void
fine_divisions_want_more_than_one_fine_note(void **state)
{
  const int six = division_of(6, false);
  (void)state;
  assert_true(cost_of(six, 1 | 2, false, false, 2000) >
              cost_of(six, 1 | 2 | 8, false, false, 2000));
  close_to(cost_of(six, 1 | 2 | 8, false, false, 2000),
           cost_of(six, 2 | 8 | 32, false, false, 2000));
}

static void
a_beat_is_likely_divided_like_the_one_before(void **state)
{
  const int three = division_of(3, false), two = division_of(2, true);
  (void)state;
  assert_true(rl_division_after(three, 7, three, 7, false) > 0);
  close_to(rl_division_after(two, 3, three, 7, false), 0);
  close_to(rl_division_after(0, 1, 0, 1, false), 0);
}

/* Three notes in the time of two beats begin on places 0 and 2 of the first triplet, 1 of the next.
 */
static void
three_over_two_beats_are_known_by_their_places(void **state)
{
  const int    three = division_of(3, false);
  const double again = rl_division_after(three, 7, three, 7, false);
  (void)state;
  assert_true(rl_division_after(three, 1 | 4, three, 2, false) > again + 1);
  assert_true(rl_division_after(three, 4, three, 2, false) > again + 1); /* the first came early */
  close_to(rl_division_after(three, 1 | 4, three, 1 | 2, false), again);
  close_to(rl_division_after(three, 1 | 4, three, 2, true), again); /* dotted beats have thirds */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_first_division_is_the_undivided_beat),
    cmocka_unit_test(places_lie_in_order_from_the_beat_to_the_next),
    cmocka_unit_test(off_beats_lie_at_the_swing_and_thirds_do_not_move),
    cmocka_unit_test(the_nearest_place_is_found),
    cmocka_unit_test(no_two_divisions_of_a_beat_have_the_same_places),
    cmocka_unit_test(one_note_on_a_slow_beat_costs_nothing),
    cmocka_unit_test(shorter_places_cost_more),
    cmocka_unit_test(in_swing_two_notes_are_eighths_and_three_a_triplet),
    cmocka_unit_test(fine_divisions_want_more_than_one_fine_note),
    cmocka_unit_test(a_beat_is_likely_divided_like_the_one_before),
    cmocka_unit_test(three_over_two_beats_are_known_by_their_places),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
