/* SPDX-License-Identifier: ISC */
/* The place while keys, harps, switches and settings change under it. Sources: plugin/PORTS.md;
   core/chart/CHART.md ("reference"). */
#include "song_model.h"

#include <math.h>
#include <string.h>

/* ---- keys, chords, targets ---- */

/* Reference: the position is ((song key - harp key) * 7 mod 12) + 1: how many fifths up from the
   harp's key the song's lies, counted here. */
static void
the_position_is_how_many_fifths_the_song_lies_above_the_harp(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: Bb\n| I7 |\n");
  for (int song = 0; song <= 12; ++song) {
    for (int harp = 0; harp < 12; ++harp) {
      int fifths = 0;
      while ((harp + 7 * fifths) % 12 != (song < 12 ? song : 10)) {
        ++fifths;
      }
      rl_host_set(s.host, "song_key", (float)song);
      rl_host_set(s.host, "harp_key", (float)harp);
      scene_run(&s, 16);
      SAME(s.position, fifths + 1);
    }
  }
  scene_end(&s);
}

/* Reference, spelling: the key by name, a chord from its degree; a chart without a key counts as G,
   but then letters stand as typed. */
static void
chords_are_named_in_the_key_the_song_sounds_in(void **state)
{
  static const char *const names[12][3] = {
    {"C7", "F7", "Bb7"},   {"Db7", "Gb7", "Cb7"}, {"D7", "G7", "C7"},    {"Eb7", "Ab7", "Db7"},
    {"E7", "A7", "D7"},    {"F7", "Bb7", "Eb7"},  {"F#7", "B7", "E7"},   {"G7", "C7", "F7"},
    {"Ab7", "Db7", "Gb7"}, {"A7", "D7", "G7"},    {"Bb7", "Eb7", "Ab7"}, {"B7", "E7", "A7"}};
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: D\n| D7 | G7 | C7 |\n"); /* letters under a key: I7 IV7 bVII7 */
  for (int key = 0; key <= 12; ++key) {
    const int sounds = key < 12 ? key : 2;
    rl_host_set(s.host, "song_key", (float)key);
    for (int bar = 0; bar < 3; ++bar) {
      const Report report = parked_at(bar, 0);
      scene_report(&s, 0, &report);
      scene_run(&s, 16);
      TEXT(scene_last(&s)->now, names[sounds][bar]);
      TEXT(scene_last(&s)->next, names[sounds][(bar + 1) % 3]);
      TEXT(scene_last(&s)->now_degree, bar == 0 ? "I7" : bar == 1 ? "IV7" : "bVII7");
      SAME(scene_last(&s)->song_key, sounds);
    }
  }
  scene_chart(&s, "| D7 | G7 | C7 |\n");
  for (int key = 0; key <= 12; ++key) {
    rl_host_set(s.host, "song_key", (float)key);
    const Report report = parked_at(0, 0);
    scene_report(&s, 0, &report);
    scene_run(&s, 16);
    TEXT(scene_last(&s)->now, "D7");
    SAME(scene_last(&s)->song_key, key < 12 ? key : 7);
  }
  scene_end(&s);
}

static void
target_is(const Scene *const s, const int hole, const char *const technique,
          const char *const degree, const int note)
{
  SAME(scene_last(s)->hole, hole);
  TEXT(scene_last(s)->technique, technique);
  TEXT(scene_last(s)->degree, degree);
  SAME(scene_last(s)->note, note);
}

static void
park(Scene *const s, const int64_t bar)
{
  const Report report = parked_at(bar, 0);
  scene_report(s, 0, &report);
  scene_run(s, 16);
}

/* The cheapest line over G7 C7 by hand, with the weights of core/arrange/COSTS.md and the harps of
   core/harmony/HARPS.md.
   C harp: F5 (draw 5) to E5 (blow 5), 1 + 1 = 2; next best F4 (draw 2 bent by 2), E4 (blow 2): 4.
   G harp: F4 (draw 3 bent by 1) to E4 (draw 3 bent by 2), 1 + 2 + 1 + 1 = 5; next best B4 (blow 5),
   C5 (draw 5, the root): 6 + 1 + 1 = 8, which is what is left to a player who doesn't bend. */
static void
the_target_is_the_note_to_land_on_at_the_next_chord(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: C\n| V7 | I7 |\n");
  park(&s, 0);
  target_is(&s, 5, "blow", "3", 76);
  park(&s, 1);
  target_is(&s, 5, "draw", "b7", 77);
  rl_host_set(s.host, "harp_key", 7);
  scene_settle(&s);
  park(&s, 0);
  target_is(&s, 3, "draw2", "3", 64);
  park(&s, 1);
  target_is(&s, 3, "draw1", "b7", 65);
  rl_host_set(s.host, "bend_depth", 0);
  rl_host_set(s.host, "blow_bend_depth", 0);
  scene_settle(&s);
  park(&s, 0);
  target_is(&s, 5, "draw", "R", 72);
  scene_end(&s);
}

static void
a_new_harp_is_told_with_its_target_without_waiting_for_a_beat(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, "key: C\n| V7 | I7 |\n");
  park(&s, 0);
  rl_host_set(s.host, "harp_key", 7);
  scene_play(&s, 64, 16);
  target_is(&s, 3, "draw2", "3", 64);
  for (size_t i = 0; i < s.places;
       ++i) { /* meanwhile none, but never the old harp's on the new one */
    const int hole = s.place[i].hole;
    assert_true(hole == 0 || hole == 5 || hole == 3);
    assert_true(hole != 5 || s.place[i].frame < 16);
  }
  scene_end(&s);
}

/* ---- switches and settings ---- */

/* Reference: off, the lamps are out; the clock and the outputs keep running. */
static void
switched_off_the_lamps_are_out_and_the_clock_goes_on(void **state)
{
  Scene        s;
  const Report start = rolling_at(0, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 6000);
  assert_true(scene_last(&s)->lit);
  rl_host_set(s.host, "enabled", 0);
  scene_run(&s, 6000);
  assert_false(scene_last(&s)->lit);
  SAME(scene_last(&s)->frame, 6000); /* at once, not at the next beat */
  scene_play(&s, 12 * 4 * 24000 - 12000 + 1, 4800);
  SHOWS(&s, 2, 1, 1);
  SAME(s.sure, 1);
  SAME(s.position, 2);
  assert_int_equal(s.places, 12 * 4 + 2);
  for (size_t i = 1; i < s.places; ++i) {
    assert_false(s.place[i].lit);
    SAME(s.place[i].frame, i == 1 ? 6000 : ((int64_t)i - 1) * 24000);
  }
  rl_host_set(s.host, "enabled", 1);
  scene_run(&s, 100);
  assert_true(scene_last(&s)->lit);
  scene_end(&s);
}

static void
loaded_switched_off_it_follows_all_the_same(void **state)
{
  Scene              s;
  const RlHostChoice choice = scene_choice(STEREO);
  const Report       start  = rolling_at(7, 0);
  (void)state;
  scene_open(&s, &choice);
  rl_host_set(s.host, "enabled", 0);
  rl_host_activate(s.host);
  scene_report(&s, 0, &start);
  scene_run(&s, 12001);
  SHOWS(&s, 1, 8, 1.5);
  assert_false(scene_last(&s)->lit);
  scene_end(&s);
}

static void
a_setting_that_changes_while_rolling_holds_at_once(void **state)
{
  Scene        s;
  const Report start = rolling_at(8, 0);
  (void)state;
  scene_begin(&s);
  scene_chart(&s, model_crooked.text); /* 14 beats a chorus, 4 of lead-in */
  scene_report(&s, 0, &start);
  scene_run(&s, 1);
  SHOWS(&s, 2, 4, 1); /* bar by bar: bar 9 of the DAW, one of lead-in, the eighth bar of the form */
  rl_host_set(s.host, "start_bar", 5);
  scene_run(&s, 24000);
  SHOWS(&s, 1, 4, 2);
  SAME(s.place[1].frame, 1);
  SAME(s.place[1].bar, 4);
  rl_host_set(s.host, "count_by", 1);
  scene_run(&s, 1);
  SHOWS(&s, 1, 4, 4 + 1.0 / 24000); /* 16 + 1 beats after the start, 13 after bar 1 */
  rl_host_set(s.host, "start_bar", 9);
  scene_run(&s, 1);
  SHOWS(&s, 0, -1, 2 + 2.0 / 24000);
  scene_end(&s);
}

/* A chart set while the music runs: it takes over where the music is, with no stop in between. */
static void
a_chart_that_comes_while_rolling_takes_over_where_the_music_is(void **state)
{
  Scene        s;
  const Report start = rolling_at(5, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 12000);
  SHOWS(&s, 1, 6, 1.5 - 1.0 / 24000);
  scene_send(&s, 0, "chart", "key: C\n| I7 | IV7 | V7 | N.C. |\n");
  scene_play(&s, 12001, 100);
  SHOWS(&s, 2, 2, 2);
  TEXT(scene_last(&s)->now, "F7");
  TEXT(scene_last(&s)->next, "G7");
  SAME(scene_last(&s)->frame, 24000);
  for (size_t i = 0; i < s.places; ++i) {
    assert_true(s.place[i].rolling);
    assert_true(s.place[i].bar == 6 || s.place[i].bar == 2);
  }
  scene_end(&s);
}

/* Hosts pass what automation says. scene_run() holds every output to its range. */
static void
wild_values_in_the_control_ports_do_no_harm(void **state)
{
  static const char *const ports[] = {
    "enabled",    "freewheel",       "song_key",  "harp_key", "harp_register", "tuning",
    "start_bar",  "count_by",        "clock",     "tap",      "bar_one",       "stop",
    "bend_depth", "blow_bend_depth", "overblows", "send_osc", "capture"};
  static const float wild[] = {NAN,  INFINITY, -INFINITY, 1e30F, -1e30F,
                               0.5F, -0.0F,    1e-40F,    12.5F, 11.49F};
  Scene              s;
  (void)state;
  scene_begin(&s);
  const Report start = rolling_at(0, 0);
  scene_report(&s, 0, &start);
  for (int i = 0; i < 2000; ++i) {
    rl_host_set(s.host, ports[(size_t)i % COUNT(ports)], wild[(size_t)(i * 7) % COUNT(wild)]);
    scene_run(&s, 1 + (uint32_t)i % 500);
  }
  for (size_t i = 0; i < COUNT(ports); ++i) {
    rl_host_set(s.host, ports[i],
                !strcmp(ports[i], "enabled") || !strcmp(ports[i], "start_bar") ? 1 : 0);
  }
  rl_host_set(s.host, "song_key", 12);
  rl_host_deactivate(s.host);
  rl_host_activate(s.host);
  scene_settle(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 24001);
  SHOWS(&s, 1, 1, 2);
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_position_is_how_many_fifths_the_song_lies_above_the_harp),
    cmocka_unit_test(chords_are_named_in_the_key_the_song_sounds_in),
    cmocka_unit_test(the_target_is_the_note_to_land_on_at_the_next_chord),
    cmocka_unit_test(a_new_harp_is_told_with_its_target_without_waiting_for_a_beat),
    cmocka_unit_test(switched_off_the_lamps_are_out_and_the_clock_goes_on),
    cmocka_unit_test(loaded_switched_off_it_follows_all_the_same),
    cmocka_unit_test(a_setting_that_changes_while_rolling_holds_at_once),
    cmocka_unit_test(a_chart_that_comes_while_rolling_takes_over_where_the_music_is),
    cmocka_unit_test(wild_values_in_the_control_ports_do_no_harm),
  };
  return cmocka_run_group_tests_name("plugin/follow_settings", tests, NULL, NULL);
}
