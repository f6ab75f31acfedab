/* SPDX-License-Identifier: ISC */
/* Bar one: the form begins where a foot says so, and the session keeps it. Sources:
 * plugin/PORTS.md. */
#include "feet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- bar one ---- */

/* Rolls from DAW bar 5 on, presses after so many frames of that bar, and tells which bar it is
 * then. */
static double
bar_after_pressing(Scene *const s, const Report *const start, const int64_t frames)
{
  scene_report(s, 0, start);
  const int64_t before = frames / 4096 * 4096;
  scene_play(s, before, 4096);
  scene_controller(s, "midi_in", frames - before, 0, CC_BAR_ONE, 127);
  scene_run(s, (uint32_t)(frames - before) + 1);
  return s->bar;
}

/* PORTS.md: the nearest bar line; a tie goes to the bar just begun. At tempi whose beats are no
   whole number of frames a tie can come only where a frame lies in the middle of the bar: 2 beats
   of 110 a minute are 52363.6 frames, 22 beats 576000. */
static void
bar_one_moves_to_the_nearest_bar_line_and_a_tie_to_the_one_behind(void **state)
{
  static const double tempi[] = {120, 60,  90,  72,  100, 96, 150, 80,  144, 75,
                                 48,  128, 160, 180, 200, 50, 40,  250, 125, 64};
  Scene               s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, twelve);
  for (size_t i = 0; i < COUNT(tempi); ++i) {
    Report        start = rolling_at(4, 0);
    const int64_t half  = llround(2 * 60 * RATE / tempi[i]);
    start.tempo         = tempi[i];
    assert_true((double)half == 2 * 60.0 * RATE / tempi[i]);
    SAME(bar_after_pressing(&s, &start, 0), 1);
    SAME(bar_after_pressing(&s, &start, half - 1), 1);
    SAME(bar_after_pressing(&s, &start, half), 1);
    SHOWS(&s, 1, 1, 3);
    SAME(bar_after_pressing(&s, &start, half + 1), -1);
    SAME(s.chorus, 0);
    SAME(bar_after_pressing(&s, &start, 2 * half - 1), -1);
  }
  scene_end(&s);
}

/* The same, with the middle of the bar reached by rolling there from elsewhere, in blocks. */
static void
a_tie_is_a_tie_however_the_music_got_there(void **state)
{
  static const double tempi[] = {120, 90, 72, 100, 96, 150, 144, 75, 48, 128, 180, 50, 250, 125};
  (void)state;
  for (size_t i = 0; i < COUNT(tempi); ++i) {
    for (int bars = 0; bars < 6; ++bars) {
      Scene         s;
      Report        start = rolling_at(7, 1);
      const int64_t beat  = llround(60 * RATE / tempi[i]);
      start.tempo         = tempi[i];
      scene_begin(&s);
      scene_report(&s, 0, &start);
      scene_play(&s, (4 * bars + 1) * beat, 777);
      scene_controller(&s, "midi_in", 0, 0, CC_BAR_ONE, 127);
      scene_run(&s, 1);
      SHOWS(&s, 1, 1, 3);
      scene_end(&s);
    }
  }
}

static void
bar_one_begins_the_first_chorus_again(void **state)
{
  Scene        s;
  const Report start = rolling_at(29, 3.5);
  (void)state;
  begin_at(&s, twelve, &start, 100);
  SHOWS(&s, 3, 6, 4.5 + 99.0 / BEAT);
  scene_press(&s, "bar_one", 1);
  SHOWS(&s, 0, -1, 4.5 + 101.0 / BEAT);
  scene_play(&s, 12000 - 102 + 1, 500);
  SHOWS(&s, 1, 1, 1);
  SAME(scene_last(&s)->frame, 12000);
  TEXT(scene_last(&s)->now, "G7");
  scene_play(&s, 12 * 4 * BEAT, 5000);
  SHOWS(&s, 2, 1, 1);
  scene_end(&s);
}

static void
bar_one_is_bar_one_and_not_the_lead_in(void **state)
{
  (void)state;
  for (int by_beats = 0; by_beats < 2; ++by_beats) {
    Scene        s;
    const Report start = rolling_at(11, 0.25);
    scene_begin(&s);
    scene_chart(&s, with_lead_in);
    rl_host_set(s.host, "count_by", (float)by_beats);
    scene_report(&s, 0, &start);
    scene_run(&s, 1);
    scene_press(&s, "bar_one", 1);
    SHOWS(&s, 1, 1, 1.25 + 2.0 / BEAT);
    scene_end(&s);
  }
}

/* Counted by beats the bar lines are the form's own: 4 + 4 + 2 + 4 quarters. Nine beats after the
   start its third bar, of two beats, is halfway: a tie. */
static void
counted_by_beats_bar_one_moves_to_a_bar_line_of_the_form(void **state)
{
  static const struct {
    double beats; /* after the start */
    int    bar;   /* of the form then */
    double beat;  /* from 1 */
  } cases[] = {{8, 1, 1},  {9, 1, 2},         {9.5, -1, 4.5}, {10, 1, 1},
               {12, 1, 3}, {12.25, -1, 3.25}, {0, 1, 1},      {2.5, -1, 3.5}};
  (void)state;
  for (size_t i = 0; i < COUNT(cases); ++i) {
    Scene        s;
    const double bar   = floor(cases[i].beats / 4);
    const Report start = rolling_at(0, 0);
    scene_begin(&s);
    scene_chart(&s, crooked);
    rl_host_set(s.host, "count_by", 1);
    scene_report(&s, 0, &start);
    scene_play(&s, llround(cases[i].beats * BEAT), 1000);
    scene_controller(&s, "control", 0, 0, CC_BAR_ONE, 127);
    scene_run(&s, 1);
    SHOWS(&s, cases[i].bar > 0, cases[i].bar, cases[i].beat);
    assert_true(bar >= 0);
    scene_end(&s);
  }
}

static void
with_nothing_to_go_by_bar_one_does_nothing(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  rl_host_set(s.host, "start_bar", 3);
  scene_settle(&s);
  scene_press(&s, "bar_one", 100);
  SHOWS(&s, 0, 0, 0);
  const Report start = rolling_at(6, 0);
  scene_report(&s, 0, &start);
  scene_run(&s, 1);
  SHOWS(&s, 1, 5, 1);
  scene_end(&s);
}

static void
bar_one_works_on_a_parked_transport(void **state)
{
  Scene        s;
  const Report there = parked_at(7, 1);
  const Report on    = parked_at(8, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &there);
  scene_run(&s, 64);
  SHOWS(&s, 1, 8, 2);
  scene_press(&s, "bar_one", 64);
  SHOWS(&s, 1, 1, 2);
  scene_report(&s, 0, &on);
  scene_run(&s, 64);
  SHOWS(&s, 1, 2, 1);
  scene_end(&s);
}

/* A locate, a stop, a deactivation do not forget it; another start bar or another chart does. */
static void
bar_one_is_kept_until_the_start_bar_or_the_chart_changes(void **state)
{
  Scene        s;
  const Report start = parked_at(6, 0);
  const Report on    = parked_at(9, 2);
  (void)state;
  begin_at(&s, twelve, &start, 64);
  scene_press(&s, "bar_one", 64);
  scene_report(&s, 0, &on);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 3);
  rl_host_deactivate(s.host);
  rl_host_activate(s.host);
  scene_report(&s, 0, &on);
  scene_run(&s, 64);
  SHOWS(&s, 1, 4, 3);
  scene_send(&s, 0, "chart", "| I7 | nonsense |"); /* changes nothing */
  scene_settle(&s);
  SAME(s.bar, 4);
  rl_host_set(s.host, "start_bar", 2);
  scene_run(&s, 64);
  SHOWS(&s, 1, 9, 3);
  rl_host_set(s.host, "start_bar", 1);
  scene_run(&s, 64);
  SHOWS(&s, 1, 10, 3);
  scene_press(&s, "bar_one", 64);
  SHOWS(&s, 1, 1, 3);
  scene_chart(&s, with_lead_in);
  SHOWS(&s, 2, 4, 3); /* bar 10 of the DAW, two of lead-in, the eighth of the form */
  scene_end(&s);
}

/* PORTS.md: an edit that leaves the number of bars alone leaves it too, a correction of one chord
   for one; with another number it goes. It is told where the music is, while it holds. */
static void
bar_one_is_told_and_kept_while_the_chart_is_as_long(void **state)
{
  static const char corrected[] = "key: A\nlead-in: 2\n| I7 | IV7 | I7 | % |\n| IV7 | #IVdim7 | I7 "
                                  "| % |\n| V7 | IV7 | I7 | V7 |\n";
  static const char longer[]    = "key: G\n| I7 | IV7 | I7 | % |\n| IV7 | % | I7 | % |\n"
                                  "| V7 | IV7 | I7 | V7 | I7 |\n";
  for (int by_beats = 0; by_beats < 2; ++by_beats) {
    Scene        s;
    const Report start = parked_at(5, 0);
    const Report on    = parked_at(9, 2);
    (void)state;
    scene_begin(&s);
    scene_chart(&s, twelve);
    rl_host_set(s.host, "count_by", (float)by_beats);
    scene_report(&s, 0, &start);
    scene_run(&s, 64);
    assert_true(isnan(scene_last(&s)->bar_one_at) && isnan(scene_last(&s)->bar_one_quarters));
    scene_press(&s, "bar_one", 64);
    if (by_beats) {
      SAME(scene_last(&s)->bar_one_quarters, 20);
    } else {
      SAME(scene_last(&s)->bar_one_at, 6); /* the DAW's bar 6 */
    }
    scene_report(&s, 0, &on);
    scene_run(&s, 64);
    SHOWS(&s, 1, 5, 3);
    scene_chart(&s, corrected);
    scene_run(&s, 64);
    SHOWS(&s, 1, 5, 3);
    char *const saved = rl_host_save(s.host);
    scene_chart(&s, longer);
    scene_report(&s, 0, &on);
    rl_host_send_get(s.host, 0, NULL);
    scene_run(&s, 64);
    SHOWS(&s, 1, 10, 3);
    assert_true(isnan(scene_last(&s)->bar_one_at) && isnan(scene_last(&s)->bar_one_quarters));
    scene_end(&s);
    scene_begin(&s); /* and what was kept is saved */
    rl_host_set(s.host, "count_by", (float)by_beats);
    assert_true(rl_host_restore(s.host, saved));
    rl_host_set(s.host, "count_by", (float)by_beats);
    scene_report(&s, 0, &on);
    scene_run(&s, 64);
    rl_host_send_get(s.host, 0, NULL);
    scene_run(&s, 64);
    SHOWS(&s, 1, 5, 3);
    assert_true(isnan(scene_last(&s)->bar_one_at) == (by_beats > 0));
    free(saved);
    scene_end(&s);
  }
}

/* PORTS.md, bar_one_edit. */
static void
bar_one_is_forgotten_when_somebody_says_so(void **state)
{
  Scene        s;
  const Report start = parked_at(5, 0);
  (void)state;
  begin_at(&s, twelve, &start, 64);
  scene_press(&s, "bar_one", 64);
  SHOWS(&s, 1, 1, 1);
  scene_send(&s, 0, "bar_one_edit", "6");
  scene_settle(&s);
  HAS(scene_ask(&s, "problem"), "bar_one_edit: write forget");
  SAME(s.bar, 1);
  scene_send(&s, 0, "bar_one_edit", "forget");
  scene_settle(&s);
  scene_run(&s, 64);
  SAME(s.bar, 6);
  TEXT(scene_ask(&s, "problem"), "");
  rl_host_send_get(s.host, 0, NULL);
  scene_run(&s, 64);
  assert_true(isnan(scene_last(&s)->bar_one_at));
  char *const saved = rl_host_save(s.host);
  assert_null(strstr(saved, "bar_one_axis"));
  free(saved);
  scene_press(&s, "bar_one", 64); /* and can be said again */
  SAME(s.bar, 1);
  scene_end(&s);
}

/* PORTS.md: kept in the state. */
static void
bar_one_is_saved_and_restored(void **state)
{
  for (int by_beats = 0; by_beats < 2; ++by_beats) {
    Scene        a;
    Scene        b;
    const Report start = parked_at(6, 0);
    const Report on    = parked_at(9, 2);
    (void)state;
    scene_begin(&a);
    scene_chart(&a, twelve);
    rl_host_set(a.host, "count_by", (float)by_beats);
    rl_host_set(a.host, "start_bar", 3);
    scene_report(&a, 0, &start);
    scene_run(&a, 64);
    scene_press(&a, "bar_one", 64);
    scene_settle(&a);
    char *const session = rl_host_save(a.host);
    assert_non_null(session);
    const RlHostChoice choice = scene_choice(STEREO);
    scene_open(&b, &choice);
    assert_true(rl_host_restore(b.host, session));
    rl_host_activate(b.host);
    scene_settle(&b);
    SAME(rl_host_get(b.host, "start_bar"), 3);
    scene_report(&b, 0, &on);
    scene_run(&b, 64);
    SHOWS(&b, 1, 4, 3);
    free(session);
    scene_end(&b);
    scene_end(&a);
  }
}

/* A second instance with the session of the first, parked where that is, shows the same. */
static void
session_shows_the_same(Scene *const a, const Report *const report, const int bar, const double beat)
{
  Scene              b;
  const RlHostChoice choice  = scene_choice(STEREO);
  char *const        session = rl_host_save(a->host);
  assert_non_null(session);
  scene_report(a, 0, report);
  scene_run(a, 64);
  SHOWS(a, 1, bar, beat);
  scene_open(&b, &choice);
  assert_true(rl_host_restore(b.host, session));
  rl_host_activate(b.host);
  scene_settle(&b);
  scene_report(&b, 0, report);
  scene_run(&b, 64);
  SHOWS(&b, 1, bar, beat);
  free(session);
  scene_end(&b);
}

static void
what_was_forgotten_does_not_come_back_with_the_session(void **state)
{
  Scene        a;
  const Report start = parked_at(6, 0);
  const Report on    = parked_at(9, 2);
  (void)state;
  scene_begin(&a);
  scene_chart(&a, twelve);
  scene_report(&a, 0, &start);
  scene_run(&a, 64);
  scene_press(&a, "bar_one", 64);
  scene_settle(&a);
  session_shows_the_same(&a, &on, 4, 3);
  scene_chart(&a, crooked); /* four bars: bar 10 of the DAW is the second of chorus 3 */
  scene_chart(&a, twelve);
  session_shows_the_same(&a, &on, 10, 3);
  scene_report(&a, 0, &start);
  scene_run(&a, 64);
  scene_press(&a, "bar_one", 64);
  scene_settle(&a);
  rl_host_set(a.host, "start_bar", 2);
  scene_settle(&a);
  rl_host_set(a.host, "start_bar", 1);
  scene_settle(&a);
  session_shows_the_same(&a, &on, 10, 3);
  scene_end(&a);
}

/* A pedal between a chart and the moment it is in force: whichever came first, what is saved is
   what is shown. */
static void
a_bar_one_said_while_a_chart_is_on_its_way_is_saved_as_it_is_shown(void **state)
{
  const Report start = parked_at(6, 0);
  (void)state;
  for (int first = 0; first < 2; ++first) {
    Scene a;
    scene_begin(&a);
    scene_chart(&a, crooked);
    scene_report(&a, 0, &start);
    scene_run(&a, 64);
    scene_send(&a, 20, "chart", twelve);
    scene_controller(&a, "midi_in", first ? 10 : 30, 0, CC_BAR_ONE, 127);
    scene_run(&a, 64);
    scene_settle(&a);
    session_shows_the_same(&a, &start, (int)a.bar, 1);
    scene_end(&a);
  }
}

/* On the player's clock it starts the count anew where the music is. */
static void
bar_one_on_the_player_s_clock_moves_to_the_nearest_bar_line_too(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve);
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, 9 * BEAT + 2 * BEAT - s.now, 500); /* bar 2, beat 4 */
  scene_controller(&s, "midi_in", 0, 0, CC_BAR_ONE, 127);
  scene_run(&s, 1);
  SHOWS(&s, 0, -1, 4);
  scene_play(&s, BEAT, 500);
  SHOWS(&s, 1, 1, 1);
  scene_play(&s, BEAT, 500);
  scene_controller(&s, "midi_in", 0, 0, CC_BAR_ONE, 127);
  scene_run(&s, 1);
  SHOWS(&s, 1, 1, 2 + 1.0 / BEAT);
  scene_controller(&s, "midi_in", 0, 0, CC_STOP, 127); /* and a new count-in leads to bar 1 again */
  scene_play(&s, 4 * BEAT, 500);
  const int64_t again = s.now;
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "midi_in", again + tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, again + 4 * BEAT + 1 - s.now, 500);
  SHOWS(&s, 1, 1, 1);
  scene_end(&s);
}

static void
on_the_player_s_clock_too_another_chart_forgets_bar_one(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve);
  for (int tap = 0; tap < 4; ++tap) {
    step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, 12 * BEAT + 12000 - s.now, 500); /* bar 3, beat 1 and a half */
  scene_controller(&s, "midi_in", 0, 0, CC_BAR_ONE, 127);
  scene_run(&s, 1);
  SHOWS(&s, 1, 1, 1.5);
  scene_send(&s, 0, "chart", with_lead_in);
  scene_play(&s, 12000, 500);
  SHOWS(&s, 1, 3, 2);
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(bar_one_moves_to_the_nearest_bar_line_and_a_tie_to_the_one_behind),
    cmocka_unit_test(a_tie_is_a_tie_however_the_music_got_there),
    cmocka_unit_test(bar_one_begins_the_first_chorus_again),
    cmocka_unit_test(bar_one_is_bar_one_and_not_the_lead_in),
    cmocka_unit_test(counted_by_beats_bar_one_moves_to_a_bar_line_of_the_form),
    cmocka_unit_test(with_nothing_to_go_by_bar_one_does_nothing),
    cmocka_unit_test(bar_one_works_on_a_parked_transport),
    cmocka_unit_test(bar_one_is_kept_until_the_start_bar_or_the_chart_changes),
    cmocka_unit_test(bar_one_is_told_and_kept_while_the_chart_is_as_long),
    cmocka_unit_test(bar_one_is_forgotten_when_somebody_says_so),
    cmocka_unit_test(bar_one_is_saved_and_restored),
    cmocka_unit_test(what_was_forgotten_does_not_come_back_with_the_session),
    cmocka_unit_test(a_bar_one_said_while_a_chart_is_on_its_way_is_saved_as_it_is_shown),
    cmocka_unit_test(bar_one_on_the_player_s_clock_moves_to_the_nearest_bar_line_too),
    cmocka_unit_test(on_the_player_s_clock_too_another_chart_forgets_bar_one),
  };
  return cmocka_run_group_tests_name("plugin/bar_one", tests, NULL, NULL);
}
