/* SPDX-License-Identifier: ISC */
/* What is a press of tap, bar one or stop, by port and by MIDI. Sources: plugin/PORTS.md; MIDI 1.0
   (controllers 80 to 83 are general purpose buttons, 64 and above is on). */
#include "feet.h"

#include <lv2/time/time.h>

#include <stdlib.h>

static const char *const ports[] = {"control", "midi_in"};

/* ---- what is a press ---- */

/* Hosts here do not know pprops:trigger: a trigger port stays at 1. */
static void
a_port_left_at_one_acts_once(void **state)
{
  Scene        s;
  const Report start = rolling_at(4, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  scene_run(&s, 1000);
  SHOWS(&s, 1, 5, 1 + 999.0 / BEAT);
  rl_host_set(s.host, "bar_one", 1);
  scene_run(&s, 1000);
  SHOWS(&s, 1, 1, 1 + 1999.0 / BEAT);
  scene_play(&s, 4 * 4 * BEAT,
             1000); /* four bars on it would act again, were it not for the edge */
  SHOWS(&s, 1, 5, 1 + 1999.0 / BEAT);
  rl_host_set(s.host, "harp_key", 3); /* another port that moves does not press it again */
  scene_run(&s, 1000);
  SHOWS(&s, 1, 5, 1 + 2999.0 / BEAT);
  rl_host_set(s.host, "bar_one", 0);
  scene_run(&s, 1000);
  SHOWS(&s, 1, 5, 1 + 3999.0 / BEAT);
  rl_host_set(s.host, "bar_one", 1);
  scene_run(&s, 1000);
  SHOWS(&s, 1, 1, 1 + 4999.0 / BEAT);
  scene_end(&s);
}

static void
a_tap_left_at_one_is_one_tap(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve);
  for (int tap = 0; tap < 3; ++tap) {
    scene_press(&s, "tap", 100);
    scene_play(&s, BEAT - 200, 100);
  }
  rl_host_set(s.host, "tap", 1); /* the fourth, and there the foot stays */
  scene_play(&s, 20 * BEAT + 1, 100);
  SHOWS(&s, 1, 5, 4); /* counted in at 120: 23 beats after the first tap, 19 after bar 1 */
  NEAR(scene_last(&s)->tempo, 120, 1e-4);
  scene_end(&s);
}

/* ---- hosts that put a trigger back, and hosts that do not ---- */

/* Rolling, with or without a field that Ardour alone sends (core/clock/README.md). */
static void
begin_rolling(Scene *const s, const bool ardour)
{
  Letter       letter;
  const Report start = rolling_at(0, 0);
  scene_begin(s);
  scene_report(s, 0, &start);
  if (ardour) {
    letter_begin(&letter, s, LV2_TIME__Position);
    letter_key(&letter, "http://ardour.org/lv2/time#scale");
    lv2_atom_forge_double(&letter.forge, 1);
    letter_send(&letter, 0);
  }
  scene_play(s, 3 * 4 * BEAT, 256);
}

/* The port `capture` moves to `value` and stays for so many frames: was that a press? Each press
   arms, or gives it up again. */
static bool
presses(Scene *const s, const float value, const int64_t frames)
{
  const int before = scene_last(s)->taking;
  rl_host_set(s->host, "capture", value);
  scene_run(s, 256);
  const int after = scene_last(s)->taking;
  scene_play(s, frames - 256, 256);
  return before != after;
}

static void
a_host_that_flips_the_port_at_each_press_is_learnt(void **state)
{
  Scene s;
  (void)state;
  begin_rolling(&s, false);
  assert_true(presses(&s, 1, 4 * BEAT));
  assert_false(presses(&s, 0, 4 * BEAT)); /* not known yet */
  for (int i = 0; i < 5; ++i) {
    assert_true(presses(&s, 1, 4 * BEAT));
    assert_true(presses(&s, 0, 4 * BEAT));
  }
  scene_end(&s);
}

static void
ardour_is_known_to_flip_it(void **state)
{
  Scene s;
  (void)state;
  begin_rolling(&s, true);
  for (int i = 0; i < 5; ++i) {
    assert_true(presses(&s, 1, 4 * BEAT));
    assert_true(presses(&s, 0, 4 * BEAT));
  }
  for (int i = 0; i < 9; ++i) { /* the window's button puts it back after 0.08 s */
    assert_true(presses(&s, 1, 4096));
    assert_false(presses(&s, 0, 4 * BEAT));
  }
  assert_true(presses(&s, 1, 4 * BEAT));
  assert_true(presses(&s, 0, 4 * BEAT));
  scene_end(&s);
}

static void
in_hosts_that_put_it_back_only_the_way_up_is_a_press(void **state)
{
  static const int64_t holds[] = {256, 512, 4096, 12000, 40000};
  for (size_t i = 0; i < COUNT(holds); ++i) {
    Scene s;
    (void)state;
    begin_rolling(&s, false);
    for (int k = 0; k < 3; ++k) {
      assert_true(presses(&s, 1, holds[i]));
      assert_false(presses(&s, 0, 4 * BEAT));
    }
    assert_true(presses(&s, 1, 6 * BEAT)); /* a foot that stays */
    assert_false(presses(&s, 0, 4 * BEAT));
    assert_true(presses(&s, 1, holds[i]));
    assert_false(presses(&s, 0, 4 * BEAT));
    scene_end(&s);
  }
}

/* Ardour divides a block where an automation moves: that is nobody's foot, however long it is up.
 */
static void
automation_in_ardour_presses_on_the_way_up_only(void **state)
{
  Scene s;
  (void)state;
  begin_rolling(&s, true);
  for (int i = 0; i < 4; ++i) {
    assert_true(presses(&s, 1, 4 * BEAT));
    scene_run(&s, 100);
    const int before = scene_last(&s)->taking;
    rl_host_set(s.host, "capture", 0);
    scene_run(&s, 156);
    assert_int_equal(scene_last(&s)->taking, before);
    scene_play(&s, 4 * BEAT, 256);
  }
  scene_end(&s);
}

static void
a_port_that_was_up_when_loaded_is_not_pressed_when_it_is_put_back(void **state)
{
  Scene              s;
  const RlHostChoice choice = scene_choice(STEREO);
  const Report       start  = rolling_at(0, 0);
  (void)state;
  scene_open(&s, &choice);
  rl_host_set(s.host, "capture", 1);
  rl_host_activate(s.host);
  scene_report(&s, 0, &start);
  scene_play(&s, 12 * BEAT, 256);
  assert_false(presses(&s, 0, 4 * BEAT));
  assert_true(presses(&s, 1, 4 * BEAT));
  scene_end(&s);
}

/* The host saved the port as it stood, at 1, and puts it there as it restores the rest. */
static void
a_session_that_is_restored_presses_nothing(void **state)
{
  Scene s;
  (void)state;
  begin_rolling(&s, false);
  assert_true(presses(&s, 1, 4 * BEAT));
  char *const up = rl_host_save(s.host);
  scene_end(&s);
  for (int ardour = 0; ardour < 2; ++ardour) {
    begin_rolling(&s, ardour > 0);
    assert_true(rl_host_restore(s.host, up));
    scene_play(&s, 4 * BEAT, 256);
    assert_int_equal(scene_last(&s)->taking, 0);
    assert_false(presses(&s, 0, 4 * BEAT));
    assert_true(presses(&s, 1, 4 * BEAT));
    scene_end(&s);
  }
  free(up);
}

/* A session saved with the port at 1. */
static void
a_port_that_is_up_when_the_plugin_is_loaded_has_not_been_pressed(void **state)
{
  Scene              s;
  const RlHostChoice choice = scene_choice(STEREO);
  const Report       start  = rolling_at(4, 0);
  (void)state;
  scene_open(&s, &choice);
  rl_host_set(s.host, "bar_one", 1);
  rl_host_set(s.host, "tap", 1);
  rl_host_set(s.host, "stop", 1);
  rl_host_activate(s.host);
  scene_report(&s, 0, &start);
  scene_run(&s, 1000);
  SHOWS(&s, 1, 5, 1 + 999.0 / BEAT);
  scene_play(&s, 5000, 1000);
  SHOWS(&s, 1, 5, 1 + 5999.0 / BEAT);
  rl_host_deactivate(s.host); /* nor when it is activated again */
  rl_host_activate(s.host);
  scene_report(&s, 0, &start);
  scene_run(&s, 1000);
  SHOWS(&s, 1, 5, 1 + 999.0 / BEAT);
  scene_end(&s);
}

/* The same on the player's clock, where a tap that never was would count. */
static void
a_tap_that_is_up_when_the_plugin_is_loaded_does_not_count(void **state)
{
  Scene              s;
  const RlHostChoice choice = scene_choice(STEREO);
  (void)state;
  scene_open(&s, &choice);
  rl_host_set(s.host, "clock", 1);
  rl_host_set(s.host, "bar_one", 1);
  rl_host_set(s.host, "tap", 1);
  rl_host_activate(s.host);
  scene_play(&s, BEAT, 500);
  SHOWS(&s, 0, 0, 0);
  rl_host_set(s.host, "tap", 0);
  for (int tap = 1; tap <= 4; ++tap) { /* in time with the one that was none */
    step_at(&s, "midi_in", tap * BEAT, CC_TAP, 500);
  }
  scene_play(&s, 5 * BEAT + 1 - s.now, 500);
  SHOWS(&s, 1, 1, 1);
  SAME(place_of(&s, 1, 1, 1)->frame, 5 * BEAT);
  scene_end(&s);
}

static void
a_controller_is_down_from_64_up_on_any_channel(void **state)
{
  (void)state;
  for (int value = 0; value < 128; ++value) {
    for (size_t p = 0; p < COUNT(ports) && (value % 16 == 0 || value % 16 == 15); ++p) {
      Scene        s;
      const Report start = rolling_at(4, 0);
      scene_begin(&s);
      scene_report(&s, 0, &start);
      scene_controller(&s, ports[p], 1000, value % 16, CC_BAR_ONE, value);
      scene_run(&s, 2000);
      SHOWS(&s, 1, value >= 64 ? 1 : 5, 1 + 1999.0 / BEAT);
      if (value >= 64) { /* at the frame it arrives */
        SAME(place_of(&s, 1, 1, 1)->frame, 1000);
      }
      scene_end(&s);
    }
  }
}

static void
other_controllers_notes_and_broken_messages_are_nobody_s_foot(void **state)
{
  static const uint8_t messages[][3] = {
    {0xB0, 79, 127}, {0xB0, 83, 127}, {0xB0, 64, 127}, {0x90, 81, 127}, {0x80, 81, 127},
    {0xA0, 81, 127}, {0xE0, 81, 127}, {0xC0, 81, 127}, {0xF0, 81, 127}, {0x30, 81, 127}};
  Scene        s;
  const Report start = rolling_at(4, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &start);
  for (size_t i = 0; i < COUNT(messages); ++i) {
    for (size_t p = 0; p < COUNT(ports); ++p) {
      rl_host_send_midi(s.host, ports[p], 10, messages[i]);
      scene_run(&s, 100);
      SAME(s.bar, 5);
    }
  }
  struct {
    LV2_Atom atom;
    uint8_t  bytes[8];
  } cut = {{2, rl_host_map(s.host, "http://lv2plug.in/ns/ext/midi#MidiEvent")}, {0xB0, 81, 127}};
  for (uint32_t size = 0; size < 3; ++size) {
    cut.atom.size = size;
    rl_host_send(s.host, "midi_in", 0, &cut.atom);
    scene_run(&s, 100);
    SAME(s.bar, 5);
  }
  scene_end(&s);
}

static void
pedals_on_both_inputs_are_taken_in_the_order_of_their_frames(void **state)
{
  Scene s;
  (void)state;
  begin_by_taps(&s, twelve);
  for (int tap = 0; tap < 4; ++tap) { /* all in one block, by turns */
    scene_controller(&s, ports[tap % 2], tap * BEAT, 0, CC_TAP, 127);
  }
  scene_run(&s, 5 * BEAT);
  SHOWS(&s, 1, 1, 2 - 1.0 / BEAT);
  SAME(place_of(&s, 1, 1, 1)->frame, 4 * BEAT);
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_port_left_at_one_acts_once),
    cmocka_unit_test(a_tap_left_at_one_is_one_tap),
    cmocka_unit_test(a_host_that_flips_the_port_at_each_press_is_learnt),
    cmocka_unit_test(ardour_is_known_to_flip_it),
    cmocka_unit_test(in_hosts_that_put_it_back_only_the_way_up_is_a_press),
    cmocka_unit_test(automation_in_ardour_presses_on_the_way_up_only),
    cmocka_unit_test(a_port_that_was_up_when_loaded_is_not_pressed_when_it_is_put_back),
    cmocka_unit_test(a_session_that_is_restored_presses_nothing),
    cmocka_unit_test(a_port_that_is_up_when_the_plugin_is_loaded_has_not_been_pressed),
    cmocka_unit_test(a_tap_that_is_up_when_the_plugin_is_loaded_does_not_count),
    cmocka_unit_test(a_controller_is_down_from_64_up_on_any_channel),
    cmocka_unit_test(other_controllers_notes_and_broken_messages_are_nobody_s_foot),
    cmocka_unit_test(pedals_on_both_inputs_are_taken_in_the_order_of_their_frames),
  };
  return cmocka_run_group_tests_name("plugin/pedals", tests, NULL, NULL);
}
