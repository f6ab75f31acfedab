/* SPDX-License-Identifier: ISC */
/* A transport that stops, is located, loops and changes its tempo: what is told, and at which
   frame. A whole song at any block size is test_journeys. Sources: plugin/PORTS.md; the LV2 time
   vocabulary (lv2plug.in/ns/ext/time); runs of real hosts on Debian 12 (core/clock/CLOCK.md). */
#include "song_model.h"

#include <math.h>

static void
stopped_or_located_the_place_is_where_the_transport_is_parked(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 40; ++i) {
    const double beat   = i % 8 / 2.0;
    const Report report = parked_at(i, beat);
    scene_report(&s, 17, &report);
    scene_run(&s, 64);
    SHOWS(&s, i / 12 + 1, i % 12 + 1, 1 + beat);
    SAME(scene_last(&s)->frame, 64 * 4 * i + 17);
    SAME(scene_last(&s)->bar, i % 12 + 1);
    NEAR(scene_last(&s)->beat, 1 + beat, 1e-6);
    assert_false(scene_last(&s)->rolling);
    SAME(s.sure, 1);
    const size_t places = s.places;
    scene_play(&s, 192, 64);
    SHOWS(&s, i / 12 + 1, i % 12 + 1, 1 + beat);
    assert_int_equal(s.places, places); /* nothing moves, nothing is told */
  }
  scene_end(&s);
}

/* The window moves the beat on by itself between two beats; where the music did something else it
   must hear of it, or it shows a place where nobody is. */
static void
a_move_within_one_beat_is_told_too(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report parked = parked_at(3, 2.125);
  const Report nudged = parked_at(3, 2.875);
  scene_report(&s, 0, &parked);
  scene_run(&s, 64);
  scene_report(&s, 0, &nudged);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 3.875);
  SAME(scene_last(&s)->frame, 64);
  NEAR(scene_last(&s)->beat, 3.875, 1e-6);
  NEAR(scene_last(&s)->to_next, 1.125, 1e-5);
  const Report start = rolling_at(3, 2.125);
  scene_report(&s, 0, &start);
  scene_run(&s, 12000);
  scene_report(&s, 6000, &start); /* a loop of three quarters of a beat */
  scene_run(&s, 12000);
  SAME(scene_last(&s)->frame, 128 + 18000);
  NEAR(scene_last(&s)->beat, 3.125, 1e-6);
  SHOWS(&s, 1, 4, 3.125 + 5999.0 / 24000);
  scene_end(&s);
}

static void
a_window_that_opens_between_two_beats_hears_where_the_music_is(void **state)
{
  Scene        s;
  const Report start = rolling_at(3, 2); /* two beats before the chord of bar 5 */
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 3000);
  rl_host_send_get(s.host, 3000, NULL);
  scene_run(&s, 4096);
  SAME(scene_last(&s)->frame, 6000);
  NEAR(scene_last(&s)->beat, 3.25, 1e-5);
  NEAR(scene_last(&s)->to_next, 1.75, 1e-5);
  TEXT(scene_last(&s)->next, "C7");
  scene_end(&s);
}

/* A DAW's ruler snaps to what a float can hold; reference: form_beat up to (not incl.) beats + 1.
 */
static void
parked_a_hair_before_the_bar_line_the_beat_is_still_in_the_bar(void **state)
{
  static const struct {
    const Model *model;
    double       beats;
  } cases[] = {{&model_twelve, 4}, {&model_twelve_eight, 12}, {&model_one_chord, 3}};
  Scene s;
  (void)state;
  scene_begin(&s);
  for (size_t i = 0; i < COUNT(cases); ++i) {
    scene_chart(&s, cases[i].model->text);
    for (int k = 1; k <= 64; ++k) {
      float hair = 4;
      for (int n = 0; n < k; ++n) {
        hair = nextafterf(hair, 0);
      }
      const Report report = parked_at(1, (double)hair);
      scene_report(&s, 0, &report);
      rl_host_send_get(s.host, 0, NULL); /* a window that opens now */
      scene_run(&s, 64);
      SAME(s.bar, 2);
      NEAR(s.beat, cases[i].beats + 1, 1e-4);
      assert_true(s.beat < cases[i].beats + 1);
      assert_true(scene_last(&s)->beat < cases[i].beats + 1);
    }
  }
  scene_end(&s);
}

static void
a_loop_goes_back_at_the_frame_it_is_told(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(4, 0);
  scene_report(&s, 0, &start);
  /* bars 5 and 6 of the DAW, 192000 frames, over and over, in blocks that do not fit */
  for (int pass = 0; pass < 5; ++pass) {
    const int64_t end = (int64_t)(pass + 1) * 192000;
    while (s.now + 1009 <= end) {
      scene_run(&s, 1009);
    }
    scene_report(&s, end - s.now, &start);
    scene_run(&s, 1009);
    SHOWS(&s, 1, 5, 1 + (double)(s.now - 1 - end) / 24000);
  }
  for (size_t i = 0; i < s.places; ++i) {
    SAME(s.place[i].frame, (int64_t)i * 24000);
    SAME(s.place[i].bar, 5 + (int)(i / 4 % 2));
    SAME(s.place[i].beat, 1 + (int)(i % 4));
  }
  assert_int_equal(s.places, 5 * 8 + 1);
  scene_end(&s);
}

/* Ardour splits the block where a loop ends: 105 + 151 frames, the second part at the loop's start;
   the call after a split may bring no report. */
static void
a_loop_that_splits_the_block_is_followed(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(0, 0);
  const Report last  = rolling_at(0, 4 - 105.0 / 24000);
  scene_report(&s, 0, &start);
  scene_play(&s, 96000 - 105, 256);
  for (int pass = 0; pass < 4; ++pass) {
    scene_report(&s, 0, &last);
    scene_run(&s, 105);
    SHOWS(&s, 1, 1, 5 - 1.0 / 24000);
    scene_report(&s, 0, &start);
    scene_run(&s, 151);
    SHOWS(&s, 1, 1, 1 + 150.0 / 24000);
    scene_play(&s, 96000 - 105 - 151, 256);
    SHOWS(&s, 1, 1, 5 - 106.0 / 24000);
  }
  scene_end(&s);
}

/* Ardour locates while rolling with about 11 blocks of speed 0 at the old frame. */
static void
a_locate_while_rolling_parks_first_and_then_goes_on_elsewhere(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(2, 0);
  const Report old   = parked_at(2, 1.5);
  const Report new   = rolling_at(17, 2);
  scene_report(&s, 0, &start);
  scene_play(&s, 36000, 256);
  for (int i = 0; i < 11; ++i) {
    scene_report(&s, 0, &old);
    scene_run(&s, 256);
    SHOWS(&s, 1, 3, 2.5);
  }
  scene_report(&s, 0, &new);
  scene_run(&s, 256);
  SHOWS(&s, 2, 6, 3 + 255.0 / 24000);
  SAME(scene_last(&s)->frame, 36000 + 11 * 256);
  SAME(scene_last(&s)->bar, 6);
  scene_end(&s);
}

/* Export: the same instance is deactivated and activated, blocks of 1024, 768, then 256. */
static void
deactivated_and_activated_again_it_waits_for_a_report(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(2, 0);
  scene_report(&s, 0, &start);
  scene_play(&s, 5000, 1024);
  rl_host_deactivate(s.host);
  rl_host_activate(s.host);
  scene_run(&s, 1024);
  SHOWS(&s, 0, 0, 0);
  SAME(s.sure, 0);
  const Report export = {.said     = SAY_PLAIN,
                         .frame    = -768,
                         .bar      = -1,
                         .speed    = 1,
                         .bar_beat = 4 - 768.0 / 24000,
                         .tempo    = 120,
                         .beats    = 4,
                         .unit     = 4};
  scene_forget(&s);
  scene_report(&s, 0, &export);
  scene_run(&s, 768);
  SHOWS(&s, 0, -1, 5 - 1.0 / 24000);
  scene_run(&s, 256);
  SHOWS(&s, 1, 1, 1 + 255.0 / 24000);
  SAME(scene_last(&s)->frame, 768);
  SAME(scene_last(&s)->bar, 1);
  scene_end(&s);
}

static void
half_speed_takes_twice_the_frames(void **state)
{
  Scene  s;
  Report slow = rolling_at(0, 0);
  (void)state;
  scene_begin(&s);
  slow.speed = 0.5;
  scene_report(&s, 0, &slow);
  scene_play(&s, 48000 * 5 + 1, 512);
  assert_int_equal(s.places, 6);
  for (size_t i = 0; i < s.places; ++i) {
    SAME(s.place[i].frame, (int64_t)i * 48000);
  }
  SHOWS(&s, 1, 2, 2);
  scene_end(&s);
}

static void
a_tempo_that_changes_inside_a_block_changes_there(void **state)
{
  Scene  s;
  Report first  = rolling_at(0, 0);
  Report second = rolling_at(0, 1.25);
  (void)state;
  scene_begin(&s);
  second.tempo = 60; /* from frame 30000 on 48000 frames a beat: beat 3 comes 36000 later */
  scene_report(&s, 0, &first);
  scene_play(&s, 8192 * 3, 8192);
  scene_report(&s, 30000 - 8192 * 3, &second);
  scene_play(&s, 8192 * 9, 8192);
  assert_int_equal(s.places, 4);
  SAME(s.place[1].frame, 24000);
  SAME(s.place[2].frame, 30000); /* another tempo is told */
  SAME(s.place[2].tempo, 60);
  SAME(s.place[3].frame, 66000);
  SAME(s.place[3].beat, 3);
  scene_end(&s);
}

/* jalv reports in every block at tempi that a float does not hold, 123.4 say. */
static void
a_tempo_that_no_float_holds_is_followed_to_the_frame_next_to_it(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const double beat = 60.0 * RATE / 123.4;
  while (s.now < 3000000) {
    const double at     = (double)s.now / beat;
    const double bar    = floor(at / 4);
    Report       report = rolling_at((int64_t)bar, at - 4 * bar);
    report.tempo        = 123.4;
    report.frame        = s.now;
    scene_report(&s, 0, &report);
    scene_run(&s, 256);
  }
  assert_int_equal(s.places, (int)((double)(s.now - 1) / beat) + 1);
  for (size_t i = 0; i < s.places; ++i) {
    NEAR(s.place[i].frame, ceil((double)i * beat), 1);
    SAME(s.place[i].bar, 1 + (int)(i / 4 % 12));
    SAME(floor(s.place[i].beat), 1 + (int)(i % 4));
  }
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(stopped_or_located_the_place_is_where_the_transport_is_parked),
    cmocka_unit_test(a_move_within_one_beat_is_told_too),
    cmocka_unit_test(a_window_that_opens_between_two_beats_hears_where_the_music_is),
    cmocka_unit_test(parked_a_hair_before_the_bar_line_the_beat_is_still_in_the_bar),
    cmocka_unit_test(a_loop_goes_back_at_the_frame_it_is_told),
    cmocka_unit_test(a_loop_that_splits_the_block_is_followed),
    cmocka_unit_test(a_locate_while_rolling_parks_first_and_then_goes_on_elsewhere),
    cmocka_unit_test(deactivated_and_activated_again_it_waits_for_a_report),
    cmocka_unit_test(half_speed_takes_twice_the_frames),
    cmocka_unit_test(a_tempo_that_changes_inside_a_block_changes_there),
    cmocka_unit_test(a_tempo_that_no_float_holds_is_followed_to_the_frame_next_to_it),
  };
  return cmocka_run_group_tests_name("plugin/follow", tests, NULL, NULL);
}
