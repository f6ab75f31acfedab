/* SPDX-License-Identifier: ISC */
/* Felt beats. Source: core/chart/CHART.md, Lines (common practice, no source). */
#include "core/meter/meter.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void
six_nine_and_twelve_over_eighths_and_shorter_are_compound(void **state)
{
  static const int compound[][2] = {{6, 8}, {9, 8}, {12, 8}, {15, 8}, {6, 16}, {12, 32}};
  static const int simple[][2]   = {{3, 8}, {4, 8}, {5, 8},  {7, 8}, {3, 16}, {4, 4},
                                    {6, 4}, {9, 4}, {12, 4}, {6, 2}, {12, 1}};
  (void)state;
  for (size_t i = 0; i < sizeof(compound) / sizeof(compound[0]); ++i) {
    assert_true(rl_meter_compound(compound[i][0], compound[i][1]));
    assert_true(rl_meter_felt(compound[i][0], compound[i][1]) * 3 == compound[i][0]);
  }
  for (size_t i = 0; i < sizeof(simple) / sizeof(simple[0]); ++i) {
    assert_false(rl_meter_compound(simple[i][0], simple[i][1]));
    assert_true(rl_meter_felt(simple[i][0], simple[i][1]) == simple[i][0]);
  }
}

static void
beats_are_grouped_in_threes_whatever_the_unit_but_three_alone_are_not(void **state)
{
  (void)state;
  for (int beats = 1; beats <= 32; ++beats) {
    assert_int_equal(rl_meter_in_threes(beats), beats == 6 || beats == 9 || beats == 12 ||
                                                  beats == 15 || beats == 18 || beats == 21 ||
                                                  beats == 24 || beats == 27 || beats == 30);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(six_nine_and_twelve_over_eighths_and_shorter_are_compound),
    cmocka_unit_test(beats_are_grouped_in_threes_whatever_the_unit_but_three_alone_are_not),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
