/* SPDX-License-Identifier: ISC */
/* Settings and harps, by mouse and keyboard. */
#include "hands.h"
#include "ui/controller/controller.h"
#include "ui/draw/typing.h"
#include "ui/model/fields.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* ---- settings ---- */

static void
every_setting_is_chosen_from_its_list(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    for (int field = 0; field < RL_FIELDS; ++field) {
      for (int n = 0; n < rl_field_choices((RlField)field); ++n) {
        open_controller(NULL);
        const float want = rl_field_to(rl_controller_view(host.controller), (RlField)field, n);
        practice_open_for(field);
        ways[way](RL_ACTION_FIELD_OPEN, field);
        assert_int_equal(rl_controller_view(host.controller)->edit.list, field);
        ways[way](RL_ACTION_FIELD_CHOOSE, n);
        assert_true(last_set(rl_field_port((RlField)field)) == want);
        assert_true(rl_controller_view(host.controller)->port[rl_field_port((RlField)field)] ==
                    want);
        close_controller();
      }
    }
  }
}

static void
every_setting_turns_by_wheel_and_by_plus_and_minus(void **state)
{
  (void)state;
  for (int field = 0; field < RL_FIELDS; ++field) {
    const RlPort port = rl_field_port((RlField)field);
    open_controller(NULL);
    practice_open_for(field);
    const float was   = rl_controller_view(host.controller)->port[port];
    RlInput     wheel = on_spot(RL_INPUT_SCROLL, RL_ACTION_FIELD_OPEN, field);
    wheel.scroll      = 1;
    rl_controller_input(host.controller, &wheel, host.now);
    assert_true(last_set(port) != was);
    wheel.scroll = -1;
    rl_controller_input(host.controller, &wheel, host.now);
    assert_true(last_set(port) == was);
    walk_to(RL_ACTION_FIELD_OPEN, field);
    key('+');
    assert_true(last_set(port) != was);
    key('-');
    assert_true(last_set(port) == was);
    close_controller();
  }
}

/* Third position in G is an F harp: fifths up from the harp's key (common practice). */
static void
a_position_picks_the_harp(void **state)
{
  static const int keys[] = {7, 0, 5, 10};
  (void)state;
  for (int position = 1; position <= 4; ++position) {
    open_controller(NULL);
    click(RL_ACTION_FIELD_OPEN, RL_FIELD_POSITION);
    click(RL_ACTION_FIELD_CHOOSE, position - 1);
    assert_true(last_set(RL_PORT_HARP_KEY) == (float)keys[position - 1]);
    close_controller();
  }
}

static void
a_start_bar_is_typed_and_refused_out_of_range(void **state)
{
  (void)state;
  open_controller(NULL);
  click(RL_ACTION_FIELD_OPEN, RL_FIELD_START_BAR);
  rub_out(3);
  type("-12");
  key(RL_KEY_ENTER);
  assert_true(last_set(RL_PORT_START_BAR) == -12);
  const int sets = host.sets;
  for (int i = 0; i < 3; ++i) {
    static const char *const wrong[] = {"99999", "4x", ""};
    click(RL_ACTION_FIELD_OPEN, RL_FIELD_START_BAR);
    rub_out(8);
    type(wrong[i]);
    key(RL_KEY_ENTER);
    assert_int_equal(host.sets, sets);
    assert_true(rl_controller_view(host.controller)->edit.error[0]);
    key(RL_KEY_ESCAPE);
  }
  close_controller();
}

/* A press of the button at a part of a spot's width. */
static void
press_at(const RlActionKind kind, const double part)
{
  const int    spot = spot_of(kind, 0);
  const RlRect at   = layout.spot[spot < 0 ? 0 : spot].at;
  assert_true(spot >= 0);
  rl_controller_input(host.controller,
                      &(RlInput){.kind = RL_INPUT_PRESS,
                                 .x    = (at.x + at.w * part) * layout.unit,
                                 .y    = (at.y + at.h / 2) * layout.unit},
                      host.now);
  look();
}

static void
a_field_opens_selected_and_a_click_into_it_puts_the_caret(void **state)
{
  static const struct {
    RlActionKind kind;
    int          value;
    const char  *was;
  } fields[] = {{RL_ACTION_BAR_EDIT, 4, "IV7"},
                {RL_ACTION_FIELD_OPEN, RL_FIELD_START_BAR, "1"},
                {RL_ACTION_FIELD_OPEN, RL_FIELD_OSC, "127.0.0.1:9911"}};
  (void)state;
  open_controller(NULL);
  const RlViewEdit *const edit = &rl_controller_view(host.controller)->edit;
  for (size_t i = 0; i < sizeof(fields) / sizeof(fields[0]); ++i) {
    click(fields[i].kind, fields[i].value);
    assert_string_equal(edit->input->text, fields[i].was);
    assert_true(edit->input->all);
    type("3");
    assert_string_equal(edit->input->text, "3");
    key(RL_KEY_ESCAPE);
    click(fields[i].kind, fields[i].value);
    press_at(RL_ACTION_CARET, 0.01);
    assert_false(edit->input->all);
    assert_int_equal(edit->input->caret, 0);
    press_at(RL_ACTION_CARET, 0.99);
    assert_int_equal(edit->input->caret, strlen(fields[i].was));
    assert_int_not_equal(edit->kind, RL_EDIT_NOTHING);
    key(RL_KEY_ESCAPE);
  }
  click(RL_ACTION_CHART_TEXT, 0);
  assert_false(edit->input->all); /* a whole chart would be lost too easily */
  close_controller();
}

static void
addresses_are_typed(void **state)
{
  (void)state;
  open_controller(NULL);
  click(RL_ACTION_FIELD_OPEN, RL_FIELD_OSC);
  assert_string_equal(rl_controller_view(host.controller)->edit.input->text, "127.0.0.1:9911");
  key(RL_KEY_END);
  type(" 10.0.0.7:9000");
  key(RL_KEY_ENTER);
  assert_string_equal(host.text[RL_OSC_TO], "127.0.0.1:9911 10.0.0.7:9000");
  close_controller();
}

static void
escape_asks_before_a_changed_text_is_lost(void **state)
{
  (void)state;
  open_controller(NULL);
  const RlView *const v = rl_controller_view(host.controller);
  click(RL_ACTION_CHART_TEXT, 0);
  type("# ");
  key(RL_KEY_ESCAPE);
  assert_int_equal(v->edit.kind, RL_EDIT_TEXT);
  assert_string_equal(v->edit.error, "Not kept yet: Escape again throws away what you typed.");
  type("x"); /* typing on is an answer too: it asks anew */
  assert_string_equal(v->edit.error, "");
  key(RL_KEY_ESCAPE);
  assert_int_equal(v->edit.kind, RL_EDIT_TEXT);
  key(RL_KEY_ESCAPE);
  assert_int_equal(v->edit.kind, RL_EDIT_NOTHING);
  assert_int_equal(v->screen, RL_SCREEN_PLAY);
  close_controller();
}

static void
a_list_longer_than_its_place_says_how_many_there_are(void **state)
{
  char name[RL_FIND_NAME_SIZE];
  (void)state;
  rl_find_name_write(20, 20, 13, name);
  assert_string_equal(name, "find among 20");
  rl_find_name_write(13, 13, 13, name);
  assert_string_equal(name, "find");
  rl_find_name_write(4, 20, 13, name); /* a choice made under `list` holds, though that is closed */
  assert_string_equal(name, "find among 4 of 20");
}

static void
escape_gives_up_everywhere(void **state)
{
  static const struct {
    RlActionKind kind;
    int          value;
  } openings[] = {
    {RL_ACTION_BAR_EDIT, 3}, {RL_ACTION_CHART_TEXT, 0}, {RL_ACTION_FIELD_OPEN, RL_FIELD_SONG_KEY},
    {RL_ACTION_HARPS, 0},    {RL_ACTION_STAGE, 0},      {RL_ACTION_FIELD_OPEN, RL_FIELD_OSC}};
  (void)state;
  for (size_t i = 0; i < sizeof(openings) / sizeof(openings[0]); ++i) {
    open_controller(NULL);
    click(openings[i].kind, openings[i].value);
    key(RL_KEY_ESCAPE);
    const RlView *const v = rl_controller_view(host.controller);
    assert_int_equal(v->screen, RL_SCREEN_PLAY);
    assert_int_equal(v->edit.kind, RL_EDIT_NOTHING);
    assert_int_equal(v->edit.list, RL_NO_FIELD);
    assert_int_equal(host.sets, 0);
    assert_string_equal(host.text[RL_CHART], "");
    close_controller();
  }
}

/* ---- harps ---- */

static void
harps_owned_are_kept_between_sessions(void **state)
{
  char folder[] = "/tmp/reedlamp-owned-XXXXXX";
  char path[128], kept_in[64];
  (void)state;
  assert_non_null(mkdtemp(folder));
  snprintf(kept_in, sizeof(kept_in), "%s/kept", folder);
  open_controller(kept_in);
  click(RL_ACTION_HARPS, 0);
  assert_int_equal(rl_controller_view(host.controller)->harps.count, 12);
  click(RL_ACTION_HARP_OWN, 9);
  click(RL_ACTION_HARP_OWN, 5);
  click(RL_ACTION_HARP_OWN, 0);
  click(RL_ACTION_HARP_OWN, 5);
  close_controller();
  open_controller(kept_in);
  click(RL_ACTION_HARPS, 0);
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(v->harps.owned, 1U << 9 | 1U << 0);
  assert_int_equal(v->harps.count, 2);
  assert_int_equal(v->harps.ranked[0].choice.key, 0); /* G blues: the C harp before the A harp */
  click(RL_ACTION_HARP_USE, 1);
  assert_true(last_set(RL_PORT_HARP_KEY) == 9);
  close_controller();
  snprintf(path, sizeof(path), "%s/harps", kept_in);
  unlink(path);
  rmdir(kept_in);
  rmdir(folder);
}

/* Two windows, of two plugins: the other one has written the file meanwhile, and its owner a
 * remark. */
static void
what_another_window_has_ticked_stays(void **state)
{
  char folder[] = "/tmp/reedlamp-owned-XXXXXX";
  char path[128], real[128], line[64];
  (void)state;
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof(path), "%s/harps", folder);
  snprintf(real, sizeof(real), "%s/elsewhere", folder);
  open_controller(folder);
  click(RL_ACTION_HARPS, 0);
  click(RL_ACTION_HARP_OWN, 9);
  assert_int_equal(rename(path, real), 0);
  assert_int_equal(symlink(real, path), 0);
  FILE *file = fopen(real, "w");
  assert_non_null(file);
  fputs("# lent: F\nlow, Richter: D\nstandard, Richter: A Bb\nlow, hexatonic: G\n", file);
  fclose(file);
  click(RL_ACTION_HARP_OWN, 0);
  assert_int_equal(rl_controller_view(host.controller)->harps.owned, 1U << 10 | 1U << 9 | 1U << 0);
  key(RL_KEY_ESCAPE);
  file = fopen(real, "a");
  assert_non_null(file);
  fputs("standard, Richter: E\n", file);
  fclose(file);
  click(RL_ACTION_HARPS, 0);
  click(RL_ACTION_HARP_OWN, 4); /* it is shown, so this takes its tick away */
  assert_int_equal(rl_controller_view(host.controller)->harps.owned, 1U << 10 | 1U << 9 | 1U << 0);
  close_controller();
  static const char *const lines[] = {"# lent: F\n", "low, hexatonic: G\n", "low, Richter: D\n",
                                      "standard, Richter: C A Bb\n"};
  file                             = fopen(path, "r");
  assert_non_null(file);
  for (size_t i = 0; i < sizeof(lines) / sizeof(lines[0]); ++i) {
    assert_non_null(fgets(line, sizeof(line), file));
    assert_string_equal(line, lines[i]);
  }
  assert_null(fgets(line, sizeof(line), file));
  fclose(file);
  assert_true(readlink(path, line, sizeof(line)) > 0);
  unlink(path);
  unlink(real);
  assert_int_equal(rmdir(folder), 0);
}

static void
where_harps_cannot_be_kept_it_is_said(void **state)
{
  (void)state;
  open_controller("/proc/nowhere");
  click(RL_ACTION_HARPS, 0);
  click(RL_ACTION_HARP_OWN, 2);
  assert_int_equal(rl_controller_view(host.controller)->harps.owned, 1U << 2);
  assert_non_null(strstr(rl_controller_view(host.controller)->problem, "cannot be written"));
  close_controller();
}

/* A link to itself exists and cannot be read, not even by root. */
static void
harps_that_cannot_be_read_are_not_written_over(void **state)
{
  char folder[] = "/tmp/reedlamp-owned-XXXXXX";
  char path[128], target[128];
  (void)state;
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof(path), "%s/harps", folder);
  assert_int_equal(symlink("harps", path), 0);
  open_controller(folder);
  rl_controller_hear_text(host.controller, RL_PROBLEM, ""); /* as the plugin does at first */
  assert_non_null(strstr(rl_controller_view(host.controller)->problem, "cannot be read"));
  click(RL_ACTION_HARPS, 0);
  click(RL_ACTION_HARP_OWN, 2);
  assert_int_equal(rl_controller_view(host.controller)->harps.owned, 1U << 2);
  close_controller();
  assert_int_equal(readlink(path, target, sizeof(target)), 5);
  unlink(path);
  assert_int_equal(rmdir(folder), 0);
}

/* Harps of every register and tuning, and a file edited by hand. */
static void
use_sets_key_register_and_tuning(void **state)
{
  char folder[] = "/tmp/reedlamp-owned-XXXXXX";
  char path[128];
  (void)state;
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof(path), "%s/harps", folder);
  FILE *const file = fopen(path, "w");
  assert_non_null(file);
  fputs(
    "my harps\nlow, country: C\nhigh, solo: Bb H\nmiddle, Richter: D\n\nstandard, Richter: F#\n",
    file);
  fclose(file);
  for (int n = 0; n < 3; ++n) {
    open_controller(folder);
    click(RL_ACTION_HARPS, 0);
    assert_int_equal(rl_controller_view(host.controller)->harps.count, 3);
    const RlHarpChoice want = rl_controller_view(host.controller)->harps.ranked[n].choice;
    ways[n % 2](RL_ACTION_HARP_USE, n);
    assert_true(last_set(RL_PORT_HARP_KEY) == (float)want.key);
    assert_true(last_set(RL_PORT_HARP_REGISTER) == (float)want.range);
    assert_true(last_set(RL_PORT_TUNING) == (float)want.tuning);
    close_controller();
  }
  unlink(path);
  assert_int_equal(rmdir(folder), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_setting_is_chosen_from_its_list),
    cmocka_unit_test(every_setting_turns_by_wheel_and_by_plus_and_minus),
    cmocka_unit_test(a_position_picks_the_harp),
    cmocka_unit_test(a_start_bar_is_typed_and_refused_out_of_range),
    cmocka_unit_test(a_field_opens_selected_and_a_click_into_it_puts_the_caret),
    cmocka_unit_test(addresses_are_typed),
    cmocka_unit_test(escape_asks_before_a_changed_text_is_lost),
    cmocka_unit_test(a_list_longer_than_its_place_says_how_many_there_are),
    cmocka_unit_test(escape_gives_up_everywhere),
    cmocka_unit_test(harps_owned_are_kept_between_sessions),
    cmocka_unit_test(what_another_window_has_ticked_stays),
    cmocka_unit_test(where_harps_cannot_be_kept_it_is_said),
    cmocka_unit_test(harps_that_cannot_be_read_are_not_written_over),
    cmocka_unit_test(use_sets_key_register_and_tuning),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
