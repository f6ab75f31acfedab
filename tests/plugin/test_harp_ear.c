/* SPDX-License-Identifier: ISC */
/* The ear for the player between worker and audio thread, in any order of what both do: the audio
   thread gets one for the hand it wants, never two are lost, none is left when nobody wants to
   hear. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../failing_memory.h"
#include "plugin/rt/harp_ear.h"
#include "plugin/worker/harp_ear_maker.h"
#include "tests/dice.h"

#include <stdlib.h>
#include <string.h>

static RlHarpEarMaker maker;
static RlHarpEar      ear;
static int64_t        now;
static uint64_t       dice;

static unsigned
chance(const unsigned sides)
{
  return dice_of(&dice, sides);
}

static void
open_both(const double rate)
{
  memset(&maker, 0, sizeof(maker));
  memset(&ear, 0, sizeof(ear));
  dice = 0x9E3779B97F4A7C15U;
  now  = 0;
  failing_memory_at(-1);
  rl_harp_ear_maker_open(&maker, rate);
  rl_harp_ear_init(&ear, &maker.desk, rate);
}

static void
close_both(void)
{
  rl_harp_ear_maker_close(&maker, ear.loan);
  assert_int_equal(failing_memory_live(), 0);
}

static void
want(const RlHarpFrom from, const int key)
{
  const RlHand hand = {.harp = {.key = (uint8_t)key}, .player = {3, 3, key % 2}, .song_key = 12};
  rl_harp_ear_tune(&ear, from, &hand, now);
}

static void
block(void)
{
  now += 64;
  if (ear.busy) {
    rl_harp_ear_begin(&ear, now);
  }
}

/* Both do what is left to do. */
static void
settle(void)
{
  for (int i = 0; i < 3; ++i) {
    rl_harp_ear_maker_work(&maker);
    block();
  }
  rl_harp_ear_maker_work(&maker);
}

static void
in_any_order_the_ear_that_is_wanted_comes_and_none_is_lost(void **const state)
{
  int made = 0;
  (void)state;
  open_both(48000);
  for (int step = 0; step < 3000; ++step) {
    const unsigned what = chance(8);
    if (what < 2) {
      want((RlHarpFrom)chance(3), (int)chance(3));
    } else if (what < 4) {
      rl_harp_ear_maker_work(&maker);
    } else {
      block();
    }
    assert_in_range(failing_memory_live(), 0, 3); /* in use, offered, on its way back */
    if (step % 50 == 49) {
      settle();
      assert_int_equal(failing_memory_live(), ear.wanted ? 1 : 0);
      assert_int_equal(ear.loan != NULL, ear.wanted != 0);
      assert_true(!ear.loan || ear.loan->hand == ear.wanted);
      made += ear.loan != NULL;
    }
  }
  assert_in_range(made, 20, 59);
  want(RL_HARP_FROM_NOTHING, 0);
  settle();
  assert_int_equal(failing_memory_live(), 0);
  assert_false(ear.busy);
  close_both();
}

static void
the_level_is_kept_with_another_harp(void **const state)
{
  (void)state;
  open_both(48000);
  want(RL_HARP_FROM_TRACK, 0);
  settle();
  ear.loan->ear.reference = -31;
  want(RL_HARP_FROM_TRACK, 5);
  settle();
  assert_true(ear.loan->ear.reference == -31);
  close_both();
}

static void
an_ear_that_cannot_be_had_is_said_and_made_good(void **const state)
{
  (void)state;
  open_both(48000);
  want(RL_HARP_FROM_SIDE, 0);
  failing_memory_at(0);
  const char *const wrong = rl_harp_ear_maker_work(&maker);
  failing_memory_at(-1);
  assert_non_null(wrong);
  assert_non_null(strstr(wrong, "harp_from: not enough memory"));
  block();
  assert_null(ear.loan);
  assert_string_equal(rl_harp_ear_maker_work(&maker), ""); /* that is over */
  block();
  assert_non_null(ear.loan);
  assert_null(rl_harp_ear_maker_work(&maker)); /* nothing new */
  close_both();
}

static void
rates_out_of_range_are_said(void **const state)
{
  static const double rates[] = {8000, 22049, 192001, 384000};
  (void)state;
  for (size_t i = 0; i < sizeof(rates) / sizeof(rates[0]); ++i) {
    open_both(rates[i]);
    assert_null(rl_harp_ear_maker_work(&maker));
    want(RL_HARP_FROM_SIDE, 0);
    assert_non_null(strstr(rl_harp_ear_maker_work(&maker), "22050"));
    want(RL_HARP_FROM_NOTHING, 0);
    assert_string_equal(rl_harp_ear_maker_work(&maker), "");
    close_both();
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(in_any_order_the_ear_that_is_wanted_comes_and_none_is_lost),
    cmocka_unit_test(the_level_is_kept_with_another_harp),
    cmocka_unit_test(an_ear_that_cannot_be_had_is_said_and_made_good),
    cmocka_unit_test(rates_out_of_range_are_said),
  };
  return cmocka_run_group_tests_name("plugin/harp_ear", tests, NULL, NULL);
}
