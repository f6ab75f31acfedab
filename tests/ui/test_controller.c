/* SPDX-License-Identifier: ISC */
/* The controller, used by mouse and keyboard as a person would, over a plugin that only records
   what it is sent: charts, the place, taps, screens. */
#include "hands.h"
#include "ui/controller/controller.h"
#include "ui/draw/corners.h"
#include "ui/layout/lane.h"
#include "ui/model/fields.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

/* ---- charts ---- */

static void
a_bar_is_edited_and_only_that_bar_changes(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    open_controller(NULL);
    ways[way](RL_ACTION_BAR_EDIT, 4);
    assert_int_equal(rl_controller_view(host.controller)->edit.kind, RL_EDIT_BAR);
    assert_string_equal(rl_controller_view(host.controller)->edit.input->text, "IV7");
    rub_out(3);
    type("ii7 bVII7");
    if (way) {
      key(RL_KEY_ENTER);
    } else {
      click(RL_ACTION_EDIT_KEEP, 0);
    }
    assert_string_equal(host.text[RL_CHART],
                        "title: Ferry Street Slow Drag\nkey: G\n"
                        "| I7 | IV7 | I7 | I7 |\n| ii7 bVII7 | % | I7 | VI7 |\n"
                        "| ii7 | V7 | I7 | ii7 V7 |\n");
    assert_int_equal(rl_controller_view(host.controller)->edit.kind, RL_EDIT_NOTHING);
    close_controller();
  }
}

static void
a_bar_stays_open_while_the_chart_is_told_again(void **state)
{
  (void)state;
  static char chart[RL_CHART_MAX + 1];
  open_controller(NULL);
  const RlView *const v = rl_controller_view(host.controller);
  snprintf(chart, sizeof(chart), "%s", v->form->text);
  click(RL_ACTION_BAR_EDIT, 6);
  type("H7");
  key(RL_KEY_ENTER);
  rl_controller_hear_text(host.controller, RL_CHART, chart);
  assert_int_equal(v->edit.kind, RL_EDIT_BAR);
  assert_string_equal(v->edit.input->text, "H7");
  assert_int_equal(v->edit.error_bar, 6);
  snprintf(chart, sizeof(chart), "| I7 |\n");
  rl_controller_hear_text(host.controller, RL_CHART, chart);
  assert_int_equal(v->edit.kind, RL_EDIT_NOTHING);
  assert_int_equal(v->edit.error_bar, -1);
  close_controller();
}

static void
a_wrong_chord_is_named_at_its_bar_and_nothing_is_sent(void **state)
{
  (void)state;
  open_controller(NULL);
  click(RL_ACTION_BAR_EDIT, 6);
  rub_out(8);
  type("H7");
  key(RL_KEY_ENTER);
  const RlView *const v = rl_controller_view(host.controller);
  assert_string_equal(host.text[RL_CHART], "");
  assert_int_equal(v->edit.kind, RL_EDIT_BAR);
  assert_int_equal(v->edit.error_bar, 6);
  assert_non_null(strstr(v->edit.error, "H7"));
  assert_int_equal(v->form->bars, 12);
  key(RL_KEY_ESCAPE);
  assert_int_equal(v->edit.kind, RL_EDIT_NOTHING);
  assert_int_equal(v->edit.error_bar, -1);
  assert_string_equal(host.text[RL_CHART], "");
  close_controller();
}

/* ---- more bars ---- */

static void
a_bar_is_added_behind_and_one_taken_out(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    open_controller(NULL);
    ways[way](RL_ACTION_BAR_EDIT, 1);
    ways[way](RL_ACTION_BAR_INSERT, 0);
    assert_non_null(strstr(host.text[RL_CHART], "| I7 | IV7 | IV7 | I7 | I7 |"));
    ways[way](RL_ACTION_BAR_EDIT, 1);
    ways[way](RL_ACTION_BAR_DELETE, 0);
    assert_non_null(strstr(host.text[RL_CHART], "| I7 | I7 | I7 |\n"));
    close_controller();
  }
}

static void
the_whole_text_is_edited_and_an_error_is_gone_to(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    size_t column;
    open_controller(NULL);
    ways[way](RL_ACTION_CHART_TEXT, 0);
    const RlView *const v = rl_controller_view(host.controller);
    assert_int_equal(v->screen, RL_SCREEN_TEXT);
    assert_string_equal(v->edit.input->text, twelve);
    for (int i = 0; i < 3; ++i) {
      key(RL_KEY_DOWN);
    }
    key(RL_KEY_END);
    type(" Q");
    key(RL_KEY_HOME);
    key(RL_KEY_UP);
    ways[way](RL_ACTION_EDIT_KEEP, 0);
    assert_int_equal(v->screen, RL_SCREEN_TEXT);
    assert_non_null(strstr(v->edit.error, "line 4"));
    assert_int_equal(rl_text_input_line(v->edit.input, &column), 3);
    assert_string_equal(host.text[RL_CHART], "");
    key(RL_KEY_END);
    rub_out(2);
    ways[way](RL_ACTION_EDIT_KEEP, 0);
    assert_string_equal(host.text[RL_CHART], twelve);
    assert_int_equal(v->screen, RL_SCREEN_PLAY);
    close_controller();
  }
}

/* ---- where bar 1 is ---- */

static void
field_says(const RlField field, const char *const title, const char *const value,
           const char *const head)
{
  const RlView *const v = rl_controller_view(host.controller);
  char                words[RL_WORDS_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  assert_string_equal(rl_field_title(v, field), title);
  rl_field_value(v, field, &text);
  assert_string_equal(words, value);
  text = rl_text_in(words, sizeof(words));
  rl_field_head(v, field, &text);
  assert_string_equal(words, head);
}

/* WINDOW.md: the start bar's field says where `bar one is now` has put bar 1, and resets it. */
static void
where_bar_one_was_put_is_shown_and_reset(void **state)
{
  (void)state;
  open_controller(NULL);
  RlPlaceReport t = told_at(RL_PART_CHORUS, 1, 1, 0, 3);
  tell(t);
  field_says(RL_FIELD_START_BAR, "start bar", "1", "start bar");
  t.bar_one_at = 6;
  tell(t);
  field_says(RL_FIELD_START_BAR, "bar 1 at", "6", "bar 1 is at the DAW’s bar 6");
  assert_true(rl_field_to(rl_controller_view(host.controller), RL_FIELD_START_BAR, 2) == 7);
  click(RL_ACTION_FIELD_OPEN, RL_FIELD_START_BAR);
  click(RL_ACTION_FIELD_CHOOSE, rl_field_choices(RL_FIELD_START_BAR));
  assert_string_equal(host.text[RL_BAR_ONE_EDIT], "forget");
  assert_int_equal(rl_controller_view(host.controller)->edit.kind, RL_EDIT_NOTHING);
  t.bar_one_at = 0;
  tell(t);
  field_says(RL_FIELD_START_BAR, "start bar", "1", "start bar");
  t.bar_one_quarters = 12;
  tell(t);
  field_says(RL_FIELD_START_BAR, "bar 1 at", "+12", "bar 1 is at the start bar +12 quarter notes");
  assert_false(rl_controller_view(host.controller)->notice &&
               *rl_controller_view(host.controller)->notice);
  close_controller();
}

/* An edit that leaves the number of bars alone says nothing; one that does not says that it has
   gone. The place comes before the chart, or after it. */
static void
where_bar_one_was_put_and_a_longer_chart_it_is_said(void **state)
{
  static const char *const charts[] = {"key: G\n| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 |\n"
                                       "| ii7 | V7 | I7 | V7 |\n",
                                       "key: G\n| I7 | IV7 | I7 | I7 |\n"};
  (void)state;
  for (int longer = 0; longer < 2; ++longer) {
    for (int place_first = 0; place_first < 2; ++place_first) {
      open_controller(NULL);
      RlPlaceReport t = told_at(RL_PART_CHORUS, 1, 1, 0, 3);
      t.bar_one_at    = 6;
      tell(t);
      t.bar_one_at = longer ? 0 : 6;
      if (place_first) {
        tell(t);
        rl_controller_hear_text(host.controller, RL_CHART, charts[longer]);
      } else {
        rl_controller_hear_text(host.controller, RL_CHART, charts[longer]);
        tell(t);
      }
      const char *const notice = rl_controller_view(host.controller)->notice;
      assert_true((notice && strstr(notice, "another number of bars") != NULL) == (longer > 0));
      close_controller();
    }
  }
}

/* ---- in a loop of the host ---- */

/* Bars 9 to 12 of | … | ii7 | V7 | I7 | ii7 V7 |: after bar 12 comes bar 9, in the chart's frame
   and in the lane; without the loop bar 1 does. In bars 11 and 12 the loop's next chord is ii7 in
   bar 12. */
static void
in_a_loop_frame_and_lane_go_on_at_its_beginning(void **state)
{
  static const char plan[] = "bar 9: Coal\n\nX:1\nT:Coal\nM:4/4\nL:1/4\nK:G\nG2 B2|\n";
  static const struct {
    int bar, beat, next, then[2]; /* bars; the two of the lane behind the one that plays */
  } places[] = {
    {12, 3, 9, {9, 10}}, {12, 1, 12, {9, 10}}, {11, 0, 12, {12, 9}}, {9, 0, 10, {10, 11}}};
  (void)state;
  open_controller(NULL);
  rl_controller_hear_text(host.controller, RL_PLAN, plan);
  for (size_t i = 0; i < sizeof(places) / sizeof(places[0]); ++i) {
    RlLaneBar     bars[3];
    double        now;
    RlPlaceReport t = told_at(RL_PART_CHORUS, 1, places[i].bar, places[i].bar - 1, places[i].beat);
    t.loop_from     = 8;
    t.loop_to       = 12;
    tell(t);
    const RlView *const v = rl_controller_view(host.controller);
    assert_int_equal(rl_view_next_bar(v) + 1, places[i].next);
    assert_int_equal(rl_lane_in_sight(v, 3, bars, &now), 3);
    assert_int_equal(bars[0].place.bar, places[i].bar);
    assert_int_equal(bars[1].place.bar, places[i].then[0]);
    assert_int_equal(bars[2].place.bar, places[i].then[1]);
  }
  RlPlaceReport t = told_at(RL_PART_CHORUS, 1, 12, 11, 3);
  tell(t);
  assert_int_equal(rl_view_next_bar(rl_controller_view(host.controller)) + 1, 1);
  close_controller();
}

/* ---- why nothing is shown ---- */

static void
each_reason_to_show_nothing_has_a_sentence_and_a_way_out(void **state)
{
  static const struct {
    bool        told, lit, rolling, silent;
    RlPart      part;
    int         clock;
    const char *first, *second;
  } cases[] = {
    {0, 0, 0, 0, RL_PART_NOWHERE, 0, "Press play,", "or tap the beat"},
    {1, 1, 0, 0, RL_PART_NOWHERE, 0, "Press play,", "or tap the beat"},
    {1, 1, 1, 0, RL_PART_NOWHERE, 0, "The host tells no bars:", "tap the beat instead"},
    {1, 0, 0, 0, RL_PART_NOWHERE, 0, "Switched off:", "enable the plugin in the host"},
    {1, 0, 1, 0, RL_PART_NOWHERE, 0, "Switched off:", "enable the plugin in the host"},
    {0, 0, 0, 1, RL_PART_NOWHERE, 0, "The host stands still:", "press play, or start its audio"},
    {1, 1, 0, 1, RL_PART_NOWHERE, 0, "The host stands still:", "press play, or start its audio"},
    {1, 1, 1, 1, RL_PART_CHORUS, 0, "The host stands still:", "press play, or start its audio"},
    {1, 1, 0, 1, RL_PART_CHORUS, 0, NULL, NULL}, /* parked: the place holds */
    {1, 1, 1, 0, RL_PART_CHORUS, 0, NULL, NULL},
    {1, 1, 0, 0, RL_PART_NOWHERE, 1, "Tap the beat:", "four taps count in"},
    {1, 1, 0, 0, RL_PART_OVER, 0, "The song is over", "play it again from its first bar"}};
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const char *first, *second;
    open_controller(NULL);
    if (cases[i].told) {
      RlPlaceReport t = told_at(cases[i].part, 1, 1, cases[i].part == RL_PART_CHORUS ? 0 : -1, 0);
      t.lit           = cases[i].lit;
      t.rolling       = cases[i].rolling;
      tell(t);
    }
    rl_controller_hear_port(host.controller, RL_PORT_CLOCK, (float)cases[i].clock);
    rl_controller_hear_silence(host.controller, cases[i].silent);
    look();
    rl_lost_words(rl_controller_view(host.controller), &first, &second);
    if (!cases[i].first) {
      assert_null(first);
    } else {
      assert_non_null(first);
      assert_string_equal(first, cases[i].first);
      assert_string_equal(second, cases[i].second);
    }
    close_controller();
  }
}

/* ---- taps ---- */

static void
a_trigger_goes_down_and_comes_up_again(void **state)
{
  (void)state;
  open_controller(NULL);
  tell(told_at(RL_PART_CHORUS, 1, 1, 0, 0));
  click(RL_ACTION_BAR_ONE, 0);
  assert_true(last_set(RL_PORT_BAR_ONE) == 1);
  host.now += 0.07;
  look();
  assert_true(last_set(RL_PORT_BAR_ONE) == 1);
  host.now += 0.02;
  look();
  assert_true(last_set(RL_PORT_BAR_ONE) == 0);
  close_controller();
}

/* Each tap is a rising edge, however fast they follow each other. */
static void
a_tap_where_nothing_is_known_takes_the_clock(void **state)
{
  int ups = 0;
  (void)state;
  open_controller(NULL);
  for (int i = 0; i < 4; ++i) {
    click(RL_ACTION_TAP, 0);
    host.now += 0.05;
    look();
  }
  assert_true(last_set(RL_PORT_CLOCK) == 1);
  float was = 0;
  for (int i = 0; i < host.sets; ++i) {
    if (host.set[i].port == RL_PORT_TAP) {
      ups += host.set[i].value > was;
      was = host.set[i].value;
    }
  }
  assert_int_equal(ups, 4);
  close_controller();
  open_controller(NULL);
  tell(told_at(RL_PART_CHORUS, 1, 1, 0, 0));
  click(RL_ACTION_TAP, 0);
  assert_true(rl_controller_view(host.controller)->port[RL_PORT_CLOCK] == 0);
  close_controller();
}

/* ---- screens ---- */

static void
stage_is_gone_to_and_come_back_from(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    open_controller(NULL);
    const RlView *const v = rl_controller_view(host.controller);
    ways[way](RL_ACTION_STAGE, 0);
    assert_int_equal(v->screen, RL_SCREEN_STAGE);
    ways[way](RL_ACTION_STAGE, 0);
    assert_int_equal(v->screen, RL_SCREEN_PLAY);
    key('s');
    assert_int_equal(v->screen, RL_SCREEN_STAGE);
    key('s');
    assert_int_equal(v->screen, RL_SCREEN_PLAY);
    assert_int_equal(host.sets, 0);
    close_controller();
  }
}

static void
notes_are_named_and_degrees_again(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    open_controller(NULL);
    ways[way](RL_ACTION_NOTE_NAMES, 0);
    assert_true(rl_controller_view(host.controller)->note_names);
    ways[way](RL_ACTION_NOTE_NAMES, 0);
    assert_false(rl_controller_view(host.controller)->note_names);
    close_controller();
  }
}

/* Where the window is small the settings have a screen of their own. */
static void
a_small_window_does_it_all_too(void **state)
{
  static const int small[][2] = {{480, 320}, {360, 740}};
  (void)state;
  for (int i = 0; i < 2 * WAYS; ++i) {
    open_controller(NULL);
    host.width  = small[i / WAYS][0];
    host.height = small[i / WAYS][1];
    look();
    const RlView *const v = rl_controller_view(host.controller);
    for (int field = 0; field < RL_FIELDS; ++field) {
      for (int n = 0; n < rl_field_choices((RlField)field); ++n) {
        key(RL_KEY_ESCAPE);
        const float want = rl_field_to(v, (RlField)field, n);
        ways[i % WAYS](RL_ACTION_SETTINGS, 0);
        practice_open_for(field);
        ways[i % WAYS](RL_ACTION_FIELD_OPEN, field);
        ways[i % WAYS](RL_ACTION_FIELD_CHOOSE, n);
        assert_true(last_set(rl_field_port((RlField)field)) == want);
        key(RL_KEY_ESCAPE);
      }
    }
    key(RL_KEY_ESCAPE);
    ways[i % WAYS](RL_ACTION_BAR_EDIT, 0);
    rub_out(2);
    type("v7");
    ways[i % WAYS](RL_ACTION_EDIT_KEEP, 0);
    assert_non_null(strstr(host.text[RL_CHART], "| v7 | IV7 | I7 | I7 |"));
    ways[i % WAYS](RL_ACTION_SETTINGS, 0);
    ways[i % WAYS](RL_ACTION_HARPS, 0);
    assert_int_equal(v->screen, RL_SCREEN_HARPS);
    ways[i % WAYS](RL_ACTION_HARPS, 0);
    assert_int_equal(v->screen, RL_SCREEN_PLAY);
    close_controller();
  }
}

static void
a_long_chart_is_scrolled_by_the_wheel_and_follows_again(void **state)
{
  char   chart[4096];
  RlText text = rl_text_in(chart, sizeof(chart));
  (void)state;
  for (int i = 0; i < 40; ++i) {
    rl_text_add(&text, "| I7 | IV7 | I7 | V7 |\n");
  }
  open_controller(NULL);
  rl_controller_hear_text(host.controller, RL_CHART, chart);
  tell(told_at(RL_PART_CHORUS, 1, 81, 80, 0));
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 80) >= 0);
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 84) >= 0); /* the row after it too */
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 0) < 0);
  RlInput wheel = on_spot(RL_INPUT_SCROLL, RL_ACTION_BAR_EDIT, 80);
  wheel.scroll  = 1;
  for (int i = 0; i < 40; ++i) {
    rl_controller_input(host.controller, &wheel, host.now);
    look();
  }
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 0) >= 0);
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 80) < 0);
  wheel.scroll = -1;
  for (int i = 0; i < 80; ++i) {
    rl_controller_input(host.controller, &wheel, host.now);
    look();
  }
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 159) >= 0);
  host.now += 7.9;
  look();
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 159) >= 0);
  host.now += 0.2;
  look();
  assert_true(spot_of(RL_ACTION_BAR_EDIT, 80) >= 0);
  close_controller();
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_bar_is_edited_and_only_that_bar_changes),
    cmocka_unit_test(a_bar_stays_open_while_the_chart_is_told_again),
    cmocka_unit_test(a_wrong_chord_is_named_at_its_bar_and_nothing_is_sent),
    cmocka_unit_test(a_bar_is_added_behind_and_one_taken_out),
    cmocka_unit_test(the_whole_text_is_edited_and_an_error_is_gone_to),
    cmocka_unit_test(where_bar_one_was_put_is_shown_and_reset),
    cmocka_unit_test(where_bar_one_was_put_and_a_longer_chart_it_is_said),
    cmocka_unit_test(in_a_loop_frame_and_lane_go_on_at_its_beginning),
    cmocka_unit_test(each_reason_to_show_nothing_has_a_sentence_and_a_way_out),
    cmocka_unit_test(a_trigger_goes_down_and_comes_up_again),
    cmocka_unit_test(a_tap_where_nothing_is_known_takes_the_clock),
    cmocka_unit_test(stage_is_gone_to_and_come_back_from),
    cmocka_unit_test(notes_are_named_and_degrees_again),
    cmocka_unit_test(a_small_window_does_it_all_too),
    cmocka_unit_test(a_long_chart_is_scrolled_by_the_wheel_and_follows_again),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
