/* SPDX-License-Identifier: ISC */
/* Practice as the window shows it: the line after a chorus, choruses side by side, the settings
   that belong there. Sources: ui/window/WINDOW.md, core/practice/README.md. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "ui/controller/controller.h"
#include "ui/draw/practice.h"
#include "ui/layout/practice.h"
#include "ui/model/fields.h"

#include <stdlib.h>
#include <string.h>

static RlController *controller;
static RlLayout      layout;
static double        now;

static void
set_port(void *const data, const RlPort port, const float value)
{
  (void)data;
  rl_controller_hear_port(controller, port, value);
}

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  (void)which;
  (void)text;
}

static const RlView *
view(void)
{
  return rl_controller_view(controller);
}

static int
look(const int width, const int height)
{
  RlRect damage[RL_DAMAGE_MAX];
  now += 0.05;
  const int parts = rl_controller_changed(controller, now, width, height, damage);
  rl_layout_make(&layout, view(), width, height);
  return parts;
}

static int
window_open(void **const state)
{
  (void)state;
  const RlControllerPlugin plugin = {NULL, set_port, set_text};
  controller                      = rl_controller_new(&plugin, 1, NULL);
  for (int i = 0; i < RL_PORTS; ++i) {
    rl_controller_hear_port(controller, (RlPort)i, rl_ports[i].standard);
  }
  rl_controller_hear_text(controller, RL_CHART,
                          "title: Lantern\nkey: G\nmeter: 4/4\n| I7 | IV7 |\n");
  look(1280, 720);
  return 0;
}

static int
window_close(void **const state)
{
  (void)state;
  rl_controller_free(controller);
  return 0;
}

static void
key(const int which)
{
  rl_controller_input(controller, &(RlInput){.kind = RL_INPUT_KEY, .key = which}, now);
}

static bool
has_spot(const RlActionKind kind, const int value)
{
  bool any = false;
  for (int i = 0; i < layout.spots; ++i) {
    any = any || (layout.spot[i].action.kind == kind && layout.spot[i].action.value == value);
  }
  return any;
}

/* `count` choruses, the n-th landed on n of them, as the property has them. */
static void
choruses_hear(const int count)
{
  static char text[RL_PLAN_MAX + 1];
  RlText      to = rl_text_in(text, sizeof(text));
  for (int i = 1; i <= count; ++i) {
    const RlPracticeLine line = {
      .when   = 1796000000 + i * 40000,
      .chorus = i,
      .tempo  = 90,
      .show   = 1,
      .tally =
        {.bars = 2, .notes = 9, .targets = 99, .targets_hit = i, .strong = 4, .strong_chord = 3},
      .title = "Lantern"};
    rl_practice_line_write(&line, &to);
    rl_text_add(&to, i == 2 ? "this is damaged\n" : "");
  }
  rl_controller_hear_text(controller, RL_PRACTICE, text);
}

static void
a_line_is_said_after_the_chorus_and_leads_to_all_of_them(void **const state)
{
  char words[RL_PRACTICE_WORDS_SIZE];
  (void)state;
  assert_true(layout.chorus.w <= 0);
  choruses_hear(3);
  look(1280, 720);
  assert_int_equal(view()->practice->count, 3);
  assert_true(layout.chorus.w > 0);
  rl_practice_words(view(), false, words);
  assert_string_equal(words, "Chorus 3: landed on 3 of 99 chords");
  rl_practice_words(view(), true, words);
  assert_string_equal(words,
                      "Chorus 3: landed on 3 of 99 chords; 3 of 4 chord tones on strong beats");
  const RlRect at    = layout.chorus;
  RlInput      click = {.kind = RL_INPUT_PRESS,
                        .x    = (at.x + at.w / 2) * layout.unit,
                        .y    = (at.y + at.h / 2) * layout.unit};
  rl_controller_input(controller, &click, now);
  click.kind = RL_INPUT_RELEASE;
  rl_controller_input(controller, &click, now);
  assert_int_equal(view()->screen, RL_SCREEN_PRACTICE);
  look(1280, 720);
  key('r');
  assert_int_equal(view()->screen, RL_SCREEN_PLAY);
  rl_controller_hear_text(controller, RL_CHART, "title: Heron\nkey: G\nmeter: 4/4\n| I7 | IV7 |\n");
  look(1280, 720); /* another song's choruses are another's */
  assert_int_equal(view()->practice->count, 0);
  rl_controller_hear_text(controller, RL_CHART, "title: Lantern\nkey: G\nmeter: 4/4\n| I7 |\n");
  look(1280, 720);
  assert_int_equal(view()->practice->count, 3);
  rl_controller_hear_text(controller, RL_PRACTICE, "");
  look(1280, 720);
  assert_true(layout.chorus.w <= 0);
}

static void
the_newest_are_kept_and_damaged_ones_left_out(void **const state)
{
  static RlPracticeShown shown;
  static char            text[64 * 1024];
  RlText                 to = rl_text_in(text, sizeof(text));
  (void)state;
  for (int i = 1; i <= RL_PRACTICE_SHOWN + 30; ++i) {
    const RlPracticeLine line = {.chorus = i, .show = 4, .tally = {.bars = 1}, .title = "Lantern"};
    rl_practice_line_write(&line, &to);
    rl_text_add(&to, "?\n\n");
  }
  rl_practice_show(&shown, rl_slice(text), rl_slice("Lantern"));
  assert_int_equal(shown.count, RL_PRACTICE_SHOWN);
  assert_int_equal(shown.line[0].chorus, 31);
  assert_int_equal(shown.line[shown.count - 1].chorus, RL_PRACTICE_SHOWN + 30);
}

/* The better a chorus, the taller its bar; where there was nothing there is none. */
static void
better_is_taller(void **const state)
{
  (void)state;
  const RlTally nothing = {.bars = 1};
  for (int panel = 0; panel < RL_PANELS; ++panel) {
    double before = -1;
    assert_true(rl_panel_good((RlPanel)panel, &nothing) < 0);
    for (int i = 0; i <= 10; ++i) {
      const RlTally t = {.notes        = 10,
                         .targets      = 10,
                         .targets_hit  = i,
                         .strong       = 10,
                         .strong_chord = i,
                         .planned      = 10,
                         .planned_hit  = i,
                         .bends        = 4,
                         .bend_cents   = i - 10,
                         .bend_spread  = 10 - i,
                         .timed        = 9,
                         .behind_beats = (10 - i) / 50.0,
                         .role         = {[RL_ROLE_PASS] = 10 - i, [RL_ROLE_THIRD] = i}};
      char          words[64];
      RlText        text = rl_text_in(words, sizeof(words));
      const double  good = rl_panel_good((RlPanel)panel, &t);
      double        all  = 0;
      assert_true(good > before && good <= 1);
      before = good;
      rl_panel_words((RlPanel)panel, &t, &text);
      assert_true(text.used > 0);
      for (int n = 0; n < RL_PANEL_PARTS; ++n) {
        all += rl_panel_part(&t, n);
      }
      assert_true(all > 0.999 && all < 1.001);
    }
  }
}

/* Panels lie beside one another and in the window, in every shape; the settings are there. */
static void
every_shape_has_room_for_panels_and_settings(void **const state)
{
  static const int sizes[][2] = {{1280, 720}, {960, 540}, {480, 320},
                                 {360, 740},  {320, 480}, {3840, 2160}};
  (void)state;
  choruses_hear(30);
  key('r');
  for (size_t i = 0; i < sizeof(sizes) / sizeof(sizes[0]); ++i) {
    look(sizes[i][0], sizes[i][1]);
    assert_true(has_spot(RL_ACTION_PRACTICE, 0));
    assert_true(has_spot(RL_ACTION_FIELD_OPEN, RL_FIELD_SHOW_GROWS));
    assert_true(has_spot(RL_ACTION_FIELD_OPEN, RL_FIELD_KEEP_LAST));
    assert_true(has_spot(RL_ACTION_FIELD_OPEN, RL_FIELD_CAPTURE_FROM));
    for (int n = 0; n < RL_PANELS; ++n) {
      const RlRect a = rl_practice_panel(&layout, n);
      assert_true(a.x >= 0 && a.y >= 0 && a.w > 60 && a.h > 30);
      assert_true(a.x + a.w <= layout.w && a.y + a.h <= layout.h);
      for (int m = 0; m < n; ++m) {
        const RlRect b = rl_practice_panel(&layout, m);
        assert_true(a.x >= b.x + b.w || b.x >= a.x + a.w || a.y >= b.y + b.h || b.y >= a.y + a.h);
      }
      for (int spot = 0; spot < layout.spots; ++spot) {
        const RlRect b = layout.spot[spot].at;
        assert_true(a.y + a.h <= b.y || b.y + b.h <= a.y || a.x + a.w <= b.x || b.x + b.w <= a.x);
      }
    }
  }
}

static void
that_more_is_lit_is_said_and_drawn_at_once(void **const state)
{
  char          words[RL_PRACTICE_WORDS_SIZE];
  RlPlaceReport r = {.lit     = true,
                     .rolling = true,
                     .part    = RL_PART_CHORUS,
                     .chorus  = 2,
                     .bar     = 1,
                     .bars    = 2,
                     .beats   = 4,
                     .unit    = 4,
                     .tempo   = 90,
                     .beat    = 1.5,
                     .show    = 1};
  (void)state;
  choruses_hear(3);
  rl_controller_hear_port(controller, RL_PORT_SHOW, 1);
  rl_controller_hear_port(controller, RL_PORT_SHOW_GROWS, 1);
  rl_controller_hear_place(controller, &r, now);
  look(1280, 720);
  look(1280, 720);
  r.show = 2;
  rl_controller_hear_place(controller, &r, now);
  assert_true(look(1280, 720) > 0);
  rl_practice_words(view(), false, words);
  assert_string_equal(words, "Chorus 3: landed on 3 of 99 chords. Chord tones are lit now.");
  char   value[64];
  RlText text = rl_text_in(value, sizeof(value));
  rl_field_value(view(), RL_FIELD_SHOW, &text);
  assert_string_equal(value, "chord tones");
  rl_controller_hear_port(controller, RL_PORT_SHOW_GROWS, 0);
  r.show = 1;
  rl_controller_hear_place(controller, &r, now);
  look(1280, 720);
  rl_practice_words(view(), false, words);
  assert_string_equal(words, "Chorus 3: landed on 3 of 99 chords");
}

int
main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, window_open, window_close)
  const struct CMUnitTest tests[] = {
    TEST(a_line_is_said_after_the_chorus_and_leads_to_all_of_them),
    TEST(the_newest_are_kept_and_damaged_ones_left_out),
    TEST(better_is_taller),
    TEST(every_shape_has_room_for_panels_and_settings),
    TEST(that_more_is_lit_is_said_and_drawn_at_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
