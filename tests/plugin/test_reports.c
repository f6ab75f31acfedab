/* SPDX-License-Identifier: ISC */
/* What a host's report says, field by field: types, what is left out, garbage, where in the block
   it comes; and how sure the place is by it. Sources: plugin/PORTS.md; the LV2 time vocabulary
   (lv2plug.in/ns/ext/time); runs of real hosts on Debian 12 (core/clock/CLOCK.md). */
#include "song_model.h"

#include <lv2/time/time.h>

#include <math.h>

static void
without_a_report_everything_is_nothing_but_the_position(void **state)
{
  Scene s;
  (void)state;
  const RlHostChoice choice = scene_choice(STEREO);
  scene_open(&s, &choice);
  rl_host_activate(s.host);
  for (int i = 0; i < 10; ++i) {
    scene_run(&s, 1000);
    SHOWS(&s, 0, 0, 0);
    SAME(s.sure, 0);
    SAME(s.position, 2); /* a C harp plays G, the key of the chart at hand */
  }
  assert_int_equal(s.places, 1); /* nothing comes up, nothing more is told */
  SAME(s.place[0].part, RL_PART_NOWHERE);
  SAME(s.place[0].bar, 0);
  SAME(s.place[0].beat, 0);
  SAME(s.place[0].sure, 0);
  TEXT(s.place[0].now, "");
  TEXT(s.place[0].next, "");
  scene_end(&s);
}

/* jalv without a timebase master. */
static void
frame_and_speed_without_a_bar_say_nothing_about_the_place(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 20; ++i) {
    const Report report = {.said = SAY_FRAME | SAY_SPEED, .frame = i * 4800, .speed = 1};
    scene_report(&s, 0, &report);
    scene_run(&s, 4800);
    SHOWS(&s, 0, 0, 0);
    SAME(s.sure, 0);
  }
  scene_end(&s);
}

static void
a_run_of_no_frames_takes_in_a_report_and_moves_nothing(void **state)
{
  Scene        s;
  const Report report = rolling_at(5, 1);
  (void)state;
  scene_begin(&s);
  scene_run(&s, 0);
  SHOWS(&s, 0, 0, 0);
  scene_report(&s, 0, &report);
  scene_run(&s, 0);
  SHOWS(&s, 1, 6, 2);
  SAME(scene_last(&s)->bar, 6);
  SAME(scene_last(&s)->frame, 0);
  for (int i = 0; i < 100; ++i) {
    scene_run(&s, 0);
    scene_run(&s, 240);
    SHOWS(&s, 1, 6, 2 + (240.0 * (i + 1) - 1) / 24000);
    scene_run(&s, 0);
  }
  scene_run(&s, 1);
  SHOWS(&s, 1, 6, 3);
  SAME(scene_last(&s)->beat, 3);
  SAME(scene_last(&s)->frame, 24000);
  scene_end(&s);
}

static void
a_block_may_hold_many_reports_and_each_counts_from_its_frame(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 20; ++i) {
    const Report report = rolling_at(i % 12, i % 4);
    scene_report(&s, 100 * i, &report);
  }
  scene_run(&s, 2001);
  assert_int_equal(s.places, 20);
  for (int i = 0; i < 20; ++i) {
    SAME(s.place[i].frame, 100 * i);
    SAME(s.place[i].bar, i % 12 + 1);
    NEAR(s.place[i].beat, i % 4 + 1, 1e-5);
  }
  SHOWS(&s, 1, 8, 4 + 100.0 / 24000);
  scene_end(&s);
}

static void
of_several_reports_at_one_frame_the_last_holds(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 5; ++i) {
    const Report report = rolling_at(i, 0);
    scene_report(&s, 50, &report);
  }
  scene_run(&s, 100);
  SHOWS(&s, 1, 5, 1 + 49.0 / 24000);
  SAME(scene_last(&s)->frame, 50);
  SAME(scene_last(&s)->bar, 5);
  scene_end(&s);
}

/* jalv sends its window's events one past the end of the block. */
static void
a_report_one_past_the_end_of_the_block_is_not_lost(void **state)
{
  Scene        s;
  const Report report = rolling_at(3, 2);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 256, &report);
  scene_run(&s, 256);
  SAME(scene_last(&s)->bar, 4);
  assert_true(scene_last(&s)->frame <= 256);
  scene_run(&s, 24000 / 4);
  NEAR(s.beat, 3.25, 1.5 / 24000); /* which frame of the two it was, who knows */
  SAME(s.bar, 4);
  scene_end(&s);
}

/* An offset that cannot be moves no time along: not ahead, not back. */
static void
an_event_far_outside_the_block_does_not_make_time_run(void **state)
{
  static const int64_t offsets[] = {257, 5000, INT64_C(1) << 40, INT64_MAX, -1, -5000, INT64_MIN};
  Scene                s;
  const Report         start = rolling_at(2, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 256);
  for (size_t i = 0; i < COUNT(offsets); ++i) {
    rl_host_send_get(s.host, offsets[i], "urn:reedlamp:problem");
    scene_run(&s, 256);
    assert_non_null(scene_told(&s, "problem")); /* heard all the same, and told inside the block */
    SHOWS(&s, 1, 3, 1 + (256.0 * ((double)i + 2) - 1) / 24000);
  }
  scene_end(&s);
}

static void
fields_that_are_left_out_keep_what_they_said(void **state)
{
  static const Report stop   = {.said = SAY_SPEED, .speed = 0};
  static const Report go     = {.said = SAY_SPEED, .speed = 1};
  static const Report faster = {.said = SAY_TEMPO, .tempo = 240};
  static const Report locate = {.said = SAY_BAR | SAY_BAR_BEAT, .bar = 8, .bar_beat = 3};
  static const Report slower = {
    .said = SAY_TEMPO | SAY_BAR | SAY_BAR_BEAT, .tempo = 60, .bar = 0, .bar_beat = 0};
  const Report first = rolling_at(1, 0);
  Scene        s;
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &first);
  scene_play(&s, 12001, 1000);
  SHOWS(&s, 1, 2, 1.5);
  scene_report(&s, 0, &stop);
  scene_play(&s, 9000, 1000);
  SHOWS(&s, 1, 2, 1.5 + 1.0 / 24000);
  assert_false(scene_last(&s)->rolling);
  scene_report(&s, 0, &go);
  scene_play(&s, 12000, 1000);
  SHOWS(&s, 1, 2, 2);
  assert_true(scene_last(&s)->rolling);
  scene_report(&s, 0, &faster); /* one frame past the beat; 12000 frames a beat from here */
  scene_play(&s, 12000, 1000);
  SHOWS(&s, 1, 2, 3 + 1.0 / 24000 - 1.0 / 12000);
  scene_report(&s, 0, &locate);
  scene_play(&s, 6001, 1000);
  SHOWS(&s, 1, 9, 4.5);
  scene_report(&s, 0, &slower);
  scene_play(&s, 24001, 1000);
  SHOWS(&s, 1, 1, 1.5);
  NEAR(scene_last(&s)->tempo, 60, 1e-5);
  scene_end(&s);
}

/* Types: other hosts send time:beat as Long, bar as Int or Float. Any number will do. */
static void
numbers_of_any_type_are_understood(void **state)
{
  static Letter letter;
  Scene         s;
  (void)state;
  scene_begin(&s);
  for (int round = 0; round < 4; ++round) {
    letter_begin(&letter, &s, LV2_TIME__Position);
    const char *const keys[] = {LV2_TIME__bar,         LV2_TIME__barBeat,        LV2_TIME__beatUnit,
                                LV2_TIME__beatsPerBar, LV2_TIME__beatsPerMinute, LV2_TIME__speed};
    const int         values[] = {6 + round, 2, 4, 4, 120, 0};
    for (int i = 0; i < 6; ++i) {
      letter_key(&letter, keys[i]);
      switch (round) {
      case 0:
        lv2_atom_forge_int(&letter.forge, values[i]);
        break;
      case 1:
        lv2_atom_forge_long(&letter.forge, values[i]);
        break;
      case 2:
        lv2_atom_forge_float(&letter.forge, (float)values[i]);
        break;
      default:
        lv2_atom_forge_double(&letter.forge, values[i]);
        break;
      }
    }
    letter_send(&letter, 0);
    scene_run(&s, 64);
    SHOWS(&s, 1, 7 + round, 3);
    SAME(s.sure, 1);
  }
  scene_end(&s);
}

/* jalv passes a broken master's bar = -2147483648 straight through. */
static void
garbage_in_a_report_is_not_shown(void **state)
{
  Scene  s;
  Report good = rolling_at(3, 1);
  (void)state;
  scene_begin(&s);
  const Report bad[] = {
    {.said     = SAY_PLAIN,
     .frame    = 1,
     .bar      = INT32_MIN,
     .speed    = 1,
     .bar_beat = 0,
     .tempo    = 120,
     .beats    = 4,
     .unit     = 4},
    {.said     = SAY_PLAIN,
     .frame    = 1,
     .bar      = 3,
     .speed    = 1,
     .bar_beat = (double)NAN,
     .tempo    = 120,
     .beats    = 4,
     .unit     = 4},
    {.said = SAY_METER, .beats = 0, .unit = 0},
    {.said = SAY_METER, .beats = -4, .unit = -4},
    {.said = SAY_TEMPO, .tempo = 0},
    {.said = SAY_TEMPO, .tempo = (double)INFINITY},
    {.said = SAY_SPEED, .speed = (double)NAN},
    {.said = SAY_BAR | SAY_BAR_BEAT, .bar = INT64_MAX, .bar_beat = -1e30},
  };
  scene_report(&s, 0, &bad[0]);
  scene_run(&s, 64);
  SHOWS(&s, 0, 0, 0);
  for (size_t i = 0; i < COUNT(bad); ++i) {
    scene_report(&s, 0, &good);
    scene_run(&s, 64);
    Report tail = bad[i];
    tail.frame  = good.frame + 64;
    scene_report(&s, 0, &tail);
    scene_play(&s, 640, 64);
    SHOWS(&s, 1, 4, 2 + 703.0 / 24000);
  }
  scene_end(&s);
}

/* Reference: chorus up to 9999, form_bar down to -9999 (scene_run() holds every output to its
 * range). */
static void
very_far_away_the_outputs_stay_in_their_ranges(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, model_one_chord.text);
  const Report far = parked_at(100000, 0);
  scene_report(&s, 0, &far);
  scene_run(&s, 64);
  SHOWS(&s, 9999, 1, 1);
  rl_host_set(s.host, "start_bar", 9999);
  const Report early = parked_at(-20000, 0);
  scene_report(&s, 0, &early);
  scene_run(&s, 64);
  SHOWS(&s, 0, -9999, 1);
  scene_end(&s);
}

/* ---- how sure ---- */

static void
a_place_told_by_the_host_is_sure_and_one_without_a_meter_is_less(void **state)
{
  Scene  s;
  Report bare = parked_at(2, 1);
  (void)state;
  scene_begin(&s);
  bare.said = SAY_PLACE | SAY_SPEED | SAY_TEMPO; /* nobody said how long a bar is */
  scene_report(&s, 0, &bare);
  scene_run(&s, 64);
  assert_true(s.sure < 1);
  const Report full = parked_at(2, 1);
  scene_report(&s, 0, &full);
  scene_run(&s, 64);
  SAME(s.sure, 1);
  SAME(scene_last(&s)->sure, 1);
  scene_end(&s);
}

/* Reference: from time:beat if sent; after a locate as if the present meter had held since
   start_bar, and then sure says so. The DAW: bars 1 and 2 in 4/4, 3/4 from bar 3 on; DAW bar 5
   begins on beat
   14. Without time:beat it looks like beat 12. */
static void
counted_by_beats_a_locate_is_sure_only_with_time_beat(void **state)
{
  Scene  s;
  Report located = {.said  = SAY_PLAIN,
                    .frame = 14 * 24000,
                    .bar   = 4,
                    .speed = 0,
                    .tempo = 120,
                    .beats = 3,
                    .unit  = 4};
  (void)state;
  scene_begin(&s);
  scene_chart(&s, model_twelve.text);
  rl_host_set(s.host, "count_by", 1);
  scene_report(&s, 0, &located);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 1);
  assert_true(s.sure > 0 && s.sure < 1);
  located.said |= SAY_BEAT;
  located.beat = 14;
  scene_report(&s, 0, &located);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 3);
  SAME(s.sure, 1);
  scene_end(&s);
}

/* A host that tells time:beat in every report, bar after bar, from the start bar on; then a locate.
 */
static void
time_beat_in_every_report_leads_to_the_bar_located(void **state)
{
  enum { BLOCK = 256, QUARTER = 12000 }; /* 240 quarters a minute */
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, model_twelve.text);
  rl_host_set(s.host, "count_by", 1);
  for (int64_t frame = 0; frame < (int64_t)12 * QUARTER; frame += BLOCK) {
    const double quarters = (double)frame / QUARTER;
    Report       report   = rolling_at((int64_t)(quarters / 4), fmod(quarters, 4));
    report.tempo          = 240;
    report.frame          = frame;
    report.said |= SAY_BEAT;
    report.beat = quarters;
    scene_report(&s, 0, &report);
    scene_run(&s, BLOCK);
    NEAR(s.bar, floor(((double)frame + BLOCK - 1) / QUARTER / 4) + 1, 0);
  }
  Report located = rolling_at(8, 0);
  located.tempo  = 240;
  located.frame  = (int64_t)32 * QUARTER;
  located.said |= SAY_BEAT;
  located.beat = 32;
  scene_report(&s, 0, &located);
  scene_run(&s, BLOCK);
  SAME(s.bar, 9);
  SAME(s.sure, 1);
  scene_end(&s);
}

static void
counted_while_rolling_the_beats_are_sure_across_a_change_of_meter(void **state)
{
  Scene  s;
  Report start = rolling_at(0, 0);
  Report three = rolling_at(2, 0);
  (void)state;
  scene_begin(&s);
  scene_chart(&s, model_twelve.text);
  rl_host_set(s.host, "count_by", 1);
  scene_report(&s, 0, &start);
  scene_play(&s, 8 * 24000, 1000);
  three.beats = 3;
  scene_report(&s, 0, &three);
  scene_play(&s, 6 * 24000 + 1, 1000);
  SHOWS(&s, 1, 4, 3);
  SAME(s.sure, 1);
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(without_a_report_everything_is_nothing_but_the_position),
    cmocka_unit_test(frame_and_speed_without_a_bar_say_nothing_about_the_place),
    cmocka_unit_test(a_run_of_no_frames_takes_in_a_report_and_moves_nothing),
    cmocka_unit_test(a_block_may_hold_many_reports_and_each_counts_from_its_frame),
    cmocka_unit_test(of_several_reports_at_one_frame_the_last_holds),
    cmocka_unit_test(a_report_one_past_the_end_of_the_block_is_not_lost),
    cmocka_unit_test(an_event_far_outside_the_block_does_not_make_time_run),
    cmocka_unit_test(fields_that_are_left_out_keep_what_they_said),
    cmocka_unit_test(numbers_of_any_type_are_understood),
    cmocka_unit_test(garbage_in_a_report_is_not_shown),
    cmocka_unit_test(very_far_away_the_outputs_stay_in_their_ranges),
    cmocka_unit_test(a_place_told_by_the_host_is_sure_and_one_without_a_meter_is_less),
    cmocka_unit_test(counted_by_beats_a_locate_is_sure_only_with_time_beat),
    cmocka_unit_test(time_beat_in_every_report_leads_to_the_bar_located),
    cmocka_unit_test(counted_while_rolling_the_beats_are_sure_across_a_change_of_meter),
  };
  return cmocka_run_group_tests_name("plugin/reports", tests, NULL, NULL);
}
