/* SPDX-License-Identifier: ISC */
/* Feet: tap, bar one and stop, by port and by MIDI. Sources: plugin/PORTS.md; MIDI 1.0 (controllers
   80 to 83 are general purpose buttons, 64 and above is on). Frames by hand: a beat of 24000 frames
   is 120 a minute at 48 kHz. */
#include "scene.h"

#include "core/chart/form.h"
#include "core/clock/taps.h"

#include <lv2/time/time.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

enum { BEAT = 24000, CC_TAP = 80, CC_BAR_ONE = 81, CC_STOP = 82 };

static const char *const ports[] = {"control", "midi_in"};
static const char        twelve[] =
  "key: G\n| I7 | IV7 | I7 | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n";
static const char twelve_eight[] = "key: C\nmeter: 12/8\n| I7 | IV7 | I7 | V7 |\n";
static const char six_eight[]    = "key: C\nmeter: 6/8\n| I7 | IV7 | I7 | V7 |\n";
static const char three_four[]   = "key: C\nmeter: 3/4\n| I7 | IV7 | I7 | V7 |\n";
static const char crooked[]      = "key: A\n| I7 | IV7 | 2/4 IV7 | 4/4 I7 |\n";
static const char with_lead_in[] = "key: G\nlead-in: 2 from 3\n| I7 | IV7 | I7 | V7 |\n";

/* On the player's clock, with a chart. */
static void
begin_by_taps(Scene *const s, const char *const chart)
{
  scene_begin(s);
  scene_chart(s, chart);
  rl_host_set(s->host, "clock", 1);
  scene_settle(s);
}

/* With a chart, and the transport where it is reported; so many frames of that. */
static void
begin_at(Scene *const s, const char *const chart, const Report *const where, const uint32_t frames)
{
  scene_begin(s);
  scene_chart(s, chart);
  scene_report(s, 0, where);
  scene_run(s, frames);
}

/* A foot goes down at a frame and up 2000 later; the blocks until then are `block` long. */
static void
step_at(Scene *const s, const char *const port, const int64_t frame, const int controller,
        const uint32_t block)
{
  while (s->now + block <= frame) {
    scene_run(s, block);
  }
  scene_controller(s, port, frame - s->now, 0, controller, 127);
  while (s->now + block <= frame + 2000) {
    scene_run(s, block);
  }
  scene_controller(s, port, frame + 2000 - s->now, 0, controller, 0);
  scene_run(s, block);
}

/* The first Place of a bar and beat; the test fails without one. */
static const Place *
place_of(const Scene *const s, const int chorus, const int bar, const int beat)
{
  for (size_t i = 0; i < s->places; ++i) {
    const Place *const p = &s->place[i];
    if (p->chorus == chorus && p->bar == bar && (int)floor(p->beat + 1e-6) == beat) {
      return p;
    }
  }
  fail_msg("chorus %d, bar %d, beat %d was not told", chorus, bar, beat);
  return NULL;
}

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
    cmocka_unit_test(four_taps_count_in_and_the_next_beat_is_bar_one),
    cmocka_unit_test(a_tap_by_port_counts_from_the_block_it_comes_in),
    cmocka_unit_test(in_twelve_eight_taps_are_dotted_quarters),
    cmocka_unit_test(four_taps_are_two_bars_of_six_eight_and_a_bar_and_a_third_of_three_four),
    cmocka_unit_test(a_count_in_leads_to_bar_one_and_not_to_the_lead_in),
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
    cmocka_unit_test(the_host_s_stop_does_not_stop_the_player_s_clock),
    cmocka_unit_test(stop_stops_it_where_it_is_and_the_next_four_taps_count_in_again),
    cmocka_unit_test(later_taps_steer_and_never_jump_backwards),
    cmocka_unit_test(between_the_beats_it_shows_the_line_of_the_taps),
    cmocka_unit_test(taps_take_the_tempo_along),
    cmocka_unit_test(on_the_host_s_clock_tap_and_stop_do_nothing),
    cmocka_unit_test(without_a_tap_the_player_s_clock_says_nothing),
    cmocka_unit_test(switched_off_the_feet_still_count),
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
  return cmocka_run_group_tests_name("plugin/pedals", tests, NULL, NULL);
}
