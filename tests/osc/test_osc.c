/* What OSC receivers hear of the plugin, and when. Sources: CONTRACT.md section 8; OSC 1.0 (ear.c).
 */
#include "listening.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *
lamp_heard(const Ear *const ear, const int hole, const RlTechnique technique)
{
  char path[64];
  snprintf(path, sizeof(path), "/reedlamp/lamp/%d/%s", hole, rl_technique_name(technique));
  return ear_last(ear, path);
}

/* The lamps heard are those of core, all of them. */
static void
check_lamps(const Ear *const ear, const RlHarpChoice choice, const RlPlayer player,
            const char *const symbol, const RlKey key)
{
  const RlHarp harp = rl_harp_make(choice);
  RlChord      chord;
  char         want[128];
  assert_int_equal(rl_chord_read(rl_slice(symbol), &chord), RL_CHORD_OK);
  const RlHarmony now   = rl_harmony_of(chord, key);
  const RlLamps   lamps = rl_lamps_light(&harp, player, &now, key);
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlLamp *const l = &lamps.lamp[hole][how];
      if (l->note) {
        snprintf(want, sizeof(want), "%.6g \"%s\" \"%s\" %d %d", (double)l->worth.brightness,
                 rl_role_name(l->worth.role), rl_degree_name(l->worth.degree), l->note,
                 l->worth.blue);
        TEXT(lamp_heard(ear, hole + 1, (RlTechnique)how), want);
      }
    }
  }
}

/* ---- what is sent ---- */

static void
everything_is_sent_when_it_is_switched_on(void **state)
{
  Show s;
  (void)state;
  show_begin(&s);
  rl_host_set(s.scene.host, "send_osc", 1);
  play(&s, BLOCK);
  check_full(&s.ear, (RlHarpChoice){0});
  TEXT(ear_last(&s.ear, "/reedlamp/transport"), "1 120 4 4");
  HAS(ear_last(&s.ear, "/reedlamp/place"), "1 1 12 1.0");
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "\"G7\" \"C7\" \"I7\" \"IV7\" 15.9");
  HAS(ear_last(&s.ear, "/reedlamp/target"), "7 \"blow\" \"R\" 84 15.9");
  TEXT(ear_last(&s.ear, "/reedlamp/harp"), "\"C\" \"Richter\" 2 \"G\"");
  HAS(ear_last(&s.ear, "/reedlamp/chart"), "1 1 \"title: Twelve-bar\n");
  check_lamps(&s.ear, (RlHarpChoice){0}, (RlPlayer){3, 3, false}, "I7", rl_key_named(7, false));
  show_end(&s);
}

static void
only_what_changed_is_sent(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  play(&s, RATE / 2 - 3 * BLOCK - BLOCK); /* up to a block before the second beat */
  assert_int_equal(s.ear.packets, 0);
  play(&s, 2 * BLOCK);
  assert_int_equal(s.ear.count, 1); /* the beat */
  TEXT(ear_last(&s.ear, "/reedlamp/place"), "1 1 12 2 1");
  const Report report = rolling_at(3, 3.5); /* half a beat before the next chord */
  scene_report(&s.scene, 0, &report);
  play(&s, BLOCK);
  ear_forget(&s.ear);
  play(&s, RATE / 2); /* well before the repeat */
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chord"), 1);
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "\"C7\" \"G7\" \"IV7\" \"I7\" 8");
  assert_int_equal(ear_count(&s.ear, "/reedlamp/target"), 1);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chart"), 0);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/harp"), 0);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/transport"), 0);
  assert_in_range(ear_count(&s.ear, "/reedlamp/lamp/"), 10, 42); /* their degrees are others now */
  assert_int_equal(different_tags(&s.ear), 1);
  show_end(&s);
}

static void
a_jump_within_one_chord_tells_the_new_countdown(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  const Report report = rolling_at(2, 0);
  scene_report(&s.scene, 0, &report);
  play(&s, BLOCK);
  HAS(ear_last(&s.ear, "/reedlamp/place"), "1 3 12 1");
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "\"G7\" \"C7\" \"I7\" \"IV7\" 8");
  show_end(&s);
}

static void
everything_comes_again_every_two_seconds_stopped_or_not(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  for (int stopped = 0; stopped < 2; ++stopped) {
    const Report report = parked_at(1, 0);
    if (stopped) {
      scene_report(&s.scene, 0, &report);
      play(&s, BLOCK);
      TEXT(ear_last(&s.ear, "/reedlamp/transport"), "0 120 4 4");
      TEXT(ear_last(&s.ear, "/reedlamp/place"), "1 2 12 1 1");
    }
    ear_forget(&s.ear);
    play(&s, 5 * (int64_t)REPEAT);
    assert_in_range(ear_count(&s.ear, "/reedlamp/chart"), 4, 5);
    assert_int_equal(ear_count(&s.ear, "/reedlamp/harp"), ear_count(&s.ear, "/reedlamp/chart"));
  }
  assert_int_equal(ear_count(&s.ear, "/reedlamp/place"), ear_count(&s.ear, "/reedlamp/chart"));
  show_end(&s);
}

static void
another_harp_is_told_and_what_it_does_not_have_goes_off_once(void **state)
{
  const RlHarpChoice richter = {0}, solo = {5, 1, RL_SOLO};
  const RlHarp       had = rl_harp_make(richter), has = rl_harp_make(solo);
  Show               s;
  (void)state;
  show_open(&s);
  rl_host_set(s.scene.host, "harp_key", 5);
  rl_host_set(s.scene.host, "harp_register", 1);
  rl_host_set(s.scene.host, "tuning", RL_SOLO);
  play(&s, 4 * BLOCK);
  TEXT(ear_last(&s.ear, "/reedlamp/harp"), "\"F\" \"solo\" 3 \"G\"");
  check_lamps(&s.ear, solo, (RlPlayer){3, 3, false}, "I7", rl_key_named(7, false));
  int gone = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const int hole = i / RL_TECHNIQUES;
    const int how  = i % RL_TECHNIQUES;
    if (had.note[hole][how] && !has.note[hole][how]) {
      TEXT(lamp_heard(&s.ear, hole + 1, (RlTechnique)how), "0 \"off\" \"\" 0 0");
      ++gone;
    }
  }
  assert_true(gone > 3);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/place"), 0); /* nobody moved */
  ear_forget(&s.ear);
  play(&s, REPEAT);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chart"), 1);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/lamp/"), notes_of(&has)); /* once is enough */
  show_end(&s);
}

/* ---- on and off ---- */

static void
switched_off_or_disabled_the_lamps_go_out_and_then_there_is_silence(void **state)
{
  static const char *const ports[] = {"send_osc", "enabled"};
  Show                     s;
  (void)state;
  show_open(&s);
  for (int i = 0; i < 2; ++i) {
    rl_host_set(s.scene.host, ports[i], 0);
    play(&s, BLOCK);
    check_last(&s);
    play(&s, 2 * (int64_t)REPEAT);
    assert_int_equal(s.ear.packets, 0);
    rl_host_set(s.scene.host, ports[i], 1);
    play(&s, BLOCK);
    check_full(&s.ear, (RlHarpChoice){0});
    ear_forget(&s.ear);
  }
  show_end(&s);
}

static void
the_end_of_the_plugin_puts_the_lamps_out(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  rl_host_deactivate(s.scene.host);
  ear_hear(&s.ear);
  check_last(&s);
  rl_host_activate(s.scene.host);
  play(&s, BLOCK);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/chart"), 1);
  ear_forget(&s.ear);
  scene_end(&s.scene);
  ear_hear(&s.ear);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/transport"), 1);
  assert_int_equal(ear_count(&s.ear, "/reedlamp/lamp/1/blow"), 1);
  ear_close(&s.ear);
}

static void
nothing_is_sent_while_freewheeling(void **state)
{
  Show s;
  (void)state;
  show_open(&s);
  rl_host_set(s.scene.host, "freewheel", 1);
  play(&s, 2 * (int64_t)REPEAT);
  assert_int_equal(s.ear.packets, 0);
  rl_host_set(s.scene.host, "freewheel", 0);
  play(&s, BLOCK);
  check_full(&s.ear, (RlHarpChoice){0});
  ear_forget(&s.ear);
  rl_host_set(s.scene.host, "freewheel", 1);
  rl_host_set(s.scene.host, "enabled", 0);
  play(&s, REPEAT);
  assert_int_equal(s.ear.packets, 0);
  rl_host_set(s.scene.host, "freewheel", 0);
  play(&s, BLOCK);
  check_last(&s);
  show_end(&s);
}

/* ---- large and many ---- */

static void
the_largest_things_fit_into_bundles_of_1400_bytes(void **state)
{
  static char chart[16385], joined[16385];
  Show        s;
  int         used = snprintf(chart, sizeof(chart),
                              "key: Gm\nmeter: 8/4\n"
                                      "| Db9sus4/Ab Gbm7b5/Db AbmMaj7/Eb Ebmaj13/Bb F#7alt/C# Dbm7b5/Ab "
                                      "Bb9sus4/F C#mMaj7/G# |\n# ");
  (void)state;
  while (used < 16382) { /* in characters of two bytes */
    used += snprintf(chart + used, sizeof(chart) - (size_t)used, "\xc3\xb8");
  }
  show_open(&s);
  scene_chart(&s.scene, chart);
  rl_host_set(s.scene.host, "overblows", 1);
  ear_forget(&s.ear);
  play(&s, 2 * (int64_t)REPEAT);
  assert_true(s.ear.largest > 1300 && s.ear.largest <= 1400);
  size_t at = 0;
  int    n  = 1;
  for (size_t i = 0; i < s.ear.count && at < strlen(chart); ++i) {
    int part, parts, head = 0;
    if (strcmp(s.ear.heard[i].path, "/reedlamp/chart")) {
      continue;
    }
    assert_int_equal(sscanf(s.ear.heard[i].words, "%d %d \"%n", &part, &parts, &head), 2);
    assert_int_equal(part, n++);
    assert_in_range(parts, 12, 13);
    const char *const text = s.ear.heard[i].words + head;
    memcpy(joined + at, text, strlen(text) - 1);
    at += strlen(text) - 1;
  }
  assert_string_equal(joined, chart);
  HAS(ear_last(&s.ear, "/reedlamp/chord"), "/");
  show_end(&s);
}

/* As a class has it: hours of beats, harps and charts; each packet is checked by the ear. */
static void
time_tags_never_run_backwards_and_all_is_in_order(void **state)
{
  Show     s;
  uint64_t before = 0;
  (void)state;
  show_open(&s);
  for (int i = 0; i < 60; ++i) {
    rl_host_set(s.scene.host, "harp_key", (float)(i % 12));
    rl_host_set(s.scene.host, "tuning", (float)(i % 6));
    rl_host_set(s.scene.host, "song_key", (float)(i % 13));
    play(&s, RATE);
    for (size_t n = 1; n < s.ear.count; ++n) { /* within a packet one, over packets ordered */
      assert_true(s.ear.heard[n].packet != s.ear.heard[n - 1].packet ||
                  s.ear.heard[n].when == s.ear.heard[n - 1].when);
    }
    assert_true(s.ear.heard[s.ear.count - 1].when > before);
    before = s.ear.heard[s.ear.count - 1].when - (UINT64_C(1) << 31); /* faster than real time */
    ear_forget(&s.ear);
  }
  show_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(everything_is_sent_when_it_is_switched_on),
    cmocka_unit_test(only_what_changed_is_sent),
    cmocka_unit_test(a_jump_within_one_chord_tells_the_new_countdown),
    cmocka_unit_test(everything_comes_again_every_two_seconds_stopped_or_not),
    cmocka_unit_test(another_harp_is_told_and_what_it_does_not_have_goes_off_once),
    cmocka_unit_test(switched_off_or_disabled_the_lamps_go_out_and_then_there_is_silence),
    cmocka_unit_test(the_end_of_the_plugin_puts_the_lamps_out),
    cmocka_unit_test(nothing_is_sent_while_freewheeling),
    cmocka_unit_test(the_largest_things_fit_into_bundles_of_1400_bytes),
    cmocka_unit_test(time_tags_never_run_backwards_and_all_is_in_order),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
