/* SPDX-License-Identifier: ISC */
/* The player's clock: counting in by foot, and going on without a transport. Sources:
   plugin/PORTS.md; MIDI 1.0 (controllers 80 to 83 are general purpose buttons). */
#include "feet.h"

#include "core/clock/taps.h"

static const char *const ports[]        = {"control", "midi_in"};
static const char        twelve_eight[] = "key: C\nmeter: 12/8\n| I7 | IV7 | I7 | V7 |\n";
static const char        six_eight[]    = "key: C\nmeter: 6/8\n| I7 | IV7 | I7 | V7 |\n";
static const char        three_four[]   = "key: C\nmeter: 3/4\n| I7 | IV7 | I7 | V7 |\n";

/* ---- counting in ---- */

static void
four_taps_count_in_and_the_next_beat_is_bar_one(void **state)
{
  static const uint32_t blocks[] = {64, 100, 256, 1024, 8192, 20000};
  (void)state;
  for (size_t p = 0; p < COUNT(ports); ++p) {
    for (size_t b = 0; b < COUNT(blocks); ++b) {
      Scene s;
      begin_by_taps(&s, twelve);
      for (int tap = 0; tap < 4; ++tap) {
        step_at(&s, ports[p], 5000 + tap * BEAT, CC_TAP, blocks[b]);
      }
      scene_play(&s, 5000 + 8 * BEAT - s.now, blocks[b]);
      SAME(place_of(&s, 0, -1, 3)->frame, 5000 + 2 * BEAT);
      SAME(place_of(&s, 0, -1, 4)->frame, 5000 + 3 * BEAT);
      for (int beat = 1; beat <= 4; ++beat) {
        SAME(place_of(&s, 1, 1, beat)->frame, 5000 + (3 + beat) * BEAT);
      }
      SHOWS(&s, 1, 1, 5 - 1.0 / BEAT);
      NEAR(scene_last(&s)->tempo, 120, 1e-4);
      assert_true(scene_last(&s)->rolling);
      assert_true(scene_last(&s)->sure > 0 && scene_last(&s)->sure < 1); /* it is an estimate */
      TEXT(scene_last(&s)->now, "G7");
      scene_end(&s);
    }
  }
}

static void
a_tap_by_port_counts_from_the_block_it_comes_in(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve);
  for (int tap = 0; tap < 4; ++tap) {
    scene_press(&s, "tap", 100);
    scene_play(&s, BEAT - 200, 100);
  }
  scene_play(&s, 4 * BEAT + 1, 100);
  for (int beat = 1; beat <= 4; ++beat) {
    SAME(place_of(&s, 1, 1, beat)->frame, (3 + beat) * BEAT);
  }
  SHOWS(&s, 1, 2, 1);
  scene_end(&s);
}

/* PORTS.md: tap uses the felt beat, a dotted quarter in 12/8; ports count the meter's own beats. */
static void
in_twelve_eight_taps_are_dotted_quarters(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve_eight);
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, 8 * BEAT + 1 - s.now, 500);
  for (int beat = 1; beat <= 12; ++beat) {
    const int frame = 4 * BEAT + (beat - 1) * BEAT / 3;
    SAME(place_of(&s, 1, 1, beat)->frame, frame);
  }
  SHOWS(&s, 1, 2, 1);
  SAME(scene_last(&s)->beats, 12);
  SAME(scene_last(&s)->unit, 8);
  NEAR(scene_last(&s)->tempo, 360, 1e-3);
  scene_end(&s);
}

static void
four_taps_are_two_bars_of_six_eight_and_a_bar_and_a_third_of_three_four(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, six_eight);
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "control", tap * BEAT, CC_TAP, 500);
  }
  SAME(place_of(&s, 0, -1, 1)->frame, 2 * BEAT);
  SAME(place_of(&s, 0, -1, 4)->frame, 3 * BEAT);
  scene_play(&s, 6 * BEAT + 1 - s.now, 500);
  SAME(place_of(&s, 1, 1, 1)->frame, 4 * BEAT);
  SHOWS(&s, 1, 2, 1);
  scene_end(&s);
  begin_by_taps(&s, three_four);
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "control", tap * BEAT, CC_TAP, 500);
  }
  SAME(place_of(&s, 0, -1, 2)->frame, 2 * BEAT);
  scene_play(&s, 7 * BEAT + 1 - s.now, 500);
  SAME(place_of(&s, 1, 1, 1)->frame, 4 * BEAT);
  SHOWS(&s, 1, 2, 1);
  scene_end(&s);
}

static void
a_count_in_leads_to_bar_one_and_not_to_the_lead_in(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, with_lead_in);
  rl_host_set(s.host, "start_bar", 17); /* nor is the start bar the player's business */
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, 4 * BEAT + 1 - s.now, 500);
  SHOWS(&s, 1, 1, 1);
  SAME(place_of(&s, 1, 1, 1)->frame, 4 * BEAT);
  scene_end(&s);
}

/* ---- the player's clock ---- */

static void
the_host_s_stop_does_not_stop_the_player_s_clock(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve);
  const Report rolling = rolling_at(100, 0);
  const Report parked  = parked_at(50, 2);
  scene_report(&s, 0, &rolling);
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, 5 * BEAT + 1 - s.now, 500);
  SHOWS(&s, 1, 1, 2);
  scene_report(&s, 0, &parked);
  scene_play(&s, 3 * BEAT, 500);
  SHOWS(&s, 1, 2, 1);
  assert_true(scene_last(&s)->rolling);
  scene_report(&s, 0, &rolling);
  scene_play(&s, BEAT, 500);
  SHOWS(&s, 1, 2, 2);
  scene_end(&s);
}

static void
stop_stops_it_where_it_is_and_the_next_four_taps_count_in_again(void **state)
{
  (void)state;
  for (size_t p = 0; p <= COUNT(ports); ++p) { /* the last time by port */
    Scene s;
    begin_by_taps(&s, twelve);
    for (int tap = 0; tap < 4; ++tap) {
      step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
    }
    scene_play(&s, 9 * BEAT + 12000 - s.now, 500);
    if (p < COUNT(ports)) {
      scene_controller(&s, ports[p], 0, 0, CC_STOP, 127);
    } else {
      rl_host_set(s.host, "stop", 1);
    }
    scene_play(&s, 10 * BEAT, 500);
    SHOWS(&s, 1, 2, 2.5);
    assert_false(scene_last(&s)->rolling);
    SAME(scene_last(&s)->frame, 9 * BEAT + 12000); /* the last thing told was the stop */
    const int64_t again = s.now;
    for (int tap = 0; tap < 4; ++tap) {
      step_at(&s, "midi_in", again + tap * 2 * BEAT, CC_TAP, 500);
    }
    scene_play(&s, again + 10 * BEAT + 1 - s.now, 500);
    SHOWS(&s, 1, 1, 2); /* half as fast: eight beats of 120, then one of 60 */
    NEAR(scene_last(&s)->tempo, 60, 1e-4);
    scene_end(&s);
  }
}

/* Felt beats since bar 1, as the ports have it; bars of four. */
static double
beats_shown(const Scene *const s)
{
  const double bar    = s->bar;
  const double chorus = s->chorus;
  const double beat   = s->beat - 1;
  return bar < 0 ? bar * 4 + beat : (chorus - 1) * 48 + (bar - 1) * 4 + beat;
}

/* A human foot: within 30 ms of the beat. The clock is steered, never backwards, and never loses
   count: it stays nearer to the right beat than to half way to the next. */
static void
later_taps_steer_and_never_jump_backwards(void **state)
{
  static const int late[] = {0,   700,   -900, 300,  -300, 1200, -1200, 800,
                             100, -1400, 1400, -200, 0,    500,  -500,  250};
  Scene            s;
  double           before = -100;
  (void)state;
  begin_by_taps(&s, twelve);
  for (int tap = 0; tap < 64; ++tap) { /* the first on frame 24000: bar 1 comes on the fifth beat */
    const int64_t to = (int64_t)(tap + 1) * BEAT + late[(size_t)tap % COUNT(late)];
    while (s.now + 480 <= to) {
      scene_run(&s, 480);
      if (tap > 1) {
        const double here = beats_shown(&s);
        assert_true(here >= before - 1e-5);
        before = here;
      }
      if (tap > 3) {
        NEAR(before, (double)(s.now - 1 - 5 * BEAT) / BEAT, 0.25);
      }
    }
    scene_controller(&s, "midi_in", to - s.now, 0, CC_TAP, 127);
    scene_run(&s, 480);
  }
  assert_true(before > 58);
  scene_end(&s);
}

/* A tap bends the beat, and it straightens in the middle of a block. */
static void
between_the_beats_it_shows_the_line_of_the_taps(void **state)
{
  static const int late[] = {0, 0, 0, 0, 3500, -3000, 11000, 2000, -4000, 9000};
  Scene            s;
  RlTaps           taps;
  (void)state;
  begin_by_taps(&s, twelve);
  rl_taps_init(&taps, RATE);
  for (size_t tap = 0; tap < 4 * COUNT(late); ++tap) {
    const int64_t to = (int64_t)(tap + 1) * BEAT + late[tap % COUNT(late)];
    for (int block = 1; s.now + block <= to; block = block * 2 % 4093) {
      rl_taps_advance(&taps, block);
      scene_run(&s, (uint32_t)block);
      if (rl_taps_pulse(&taps, 0).felt > 0) {
        NEAR(beats_shown(&s), rl_taps_pulse(&taps, -1).felt, 1e-4);
      }
    }
    scene_controller(&s, "midi_in", 0, 0, CC_TAP, 127);
    rl_taps_tap(&taps);
  }
  scene_end(&s);
}

/* A player who plays faster and faster: 100, 110, 120 … a minute, a bar each, all tapped. */
static void
taps_take_the_tempo_along(void **state)
{
  Scene   s;
  int64_t at = 0;
  (void)state;
  begin_by_taps(&s, twelve);
  for (int bar = 0; bar < 8; ++bar) {
    for (int beat = 0; beat < 4; ++beat) {
      step_at(&s, "midi_in", at, CC_TAP, 480);
      at += 60 * RATE / (100 + 10 * bar);
    }
  }
  NEAR(beats_shown(&s), 27, 0.5); /* 32 taps, the fifth of them was bar 1 */
  NEAR(scene_last(&s)->tempo, 170, 170 * 0.08);
  scene_end(&s);
}

static void
on_the_host_s_clock_tap_and_stop_do_nothing(void **state)
{
  Scene        s;
  const Report start = rolling_at(4, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  for (int i = 0; i < 8; ++i) {
    scene_press(&s, i % 3 ? "tap" : "stop", 6000);
    scene_controller(&s, ports[i % 2], 100, 0, i % 3 ? CC_STOP : CC_TAP, 127);
    SHOWS(&s, 1, 5 + i / 8, 1 + (12000.0 * (i + 1) - 1) / BEAT);
    SAME(s.sure, 1);
  }
  scene_end(&s);
}

static void
without_a_tap_the_player_s_clock_says_nothing(void **state)
{
  Scene        s;
  const Report start = rolling_at(4, 0);
  (void)state;
  begin_by_taps(&s, twelve);
  scene_report(&s, 0, &start);
  scene_play(&s, 4 * BEAT, 1000);
  SHOWS(&s, 0, 0, 0);
  SAME(s.sure, 0);
  rl_host_set(s.host, "clock", 0); /* back to the host, which has rolled on */
  scene_run(&s, 1);
  SHOWS(&s, 1, 6, 1);
  scene_end(&s);
}

/* PORTS.md: pedals act with the lamps out too: the clock keeps running. */
static void
switched_off_the_feet_still_count(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve);
  rl_host_set(s.host, "enabled", 0);
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, 4 * BEAT + 1 - s.now, 500);
  SHOWS(&s, 1, 1, 1);
  assert_false(scene_last(&s)->lit);
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(four_taps_count_in_and_the_next_beat_is_bar_one),
    cmocka_unit_test(a_tap_by_port_counts_from_the_block_it_comes_in),
    cmocka_unit_test(in_twelve_eight_taps_are_dotted_quarters),
    cmocka_unit_test(four_taps_are_two_bars_of_six_eight_and_a_bar_and_a_third_of_three_four),
    cmocka_unit_test(a_count_in_leads_to_bar_one_and_not_to_the_lead_in),
    cmocka_unit_test(the_host_s_stop_does_not_stop_the_player_s_clock),
    cmocka_unit_test(stop_stops_it_where_it_is_and_the_next_four_taps_count_in_again),
    cmocka_unit_test(later_taps_steer_and_never_jump_backwards),
    cmocka_unit_test(between_the_beats_it_shows_the_line_of_the_taps),
    cmocka_unit_test(taps_take_the_tempo_along),
    cmocka_unit_test(on_the_host_s_clock_tap_and_stop_do_nothing),
    cmocka_unit_test(without_a_tap_the_player_s_clock_says_nothing),
    cmocka_unit_test(switched_off_the_feet_still_count),
  };
  return cmocka_run_group_tests_name("plugin/player_clock", tests, NULL, NULL);
}
