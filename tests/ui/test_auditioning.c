/* SPDX-License-Identifier: ISC */
/* What the window asks the plugin to play: takes as they are written, phrases as they go on their
   bar, each way of making them fit, what a take was lifted from; by mouse alone and by keyboard
   alone. The texts are read back as the plugin reads them. */
#include "phrase_window.h"

#include "core/abc/abc.h"
#include "plugin/protocol/hear_take.h"

#include <stdlib.h>

static const char song[] = "title: Ferry Street Slow Drag\nkey: G\n| I7 | IV7 | I7 | V7 |\n";

/* The second was lifted. Both stand over another chord than that of their bar. */
static const char takes[] =
  "taken: 2\nbar 2: Take 1\nbar 1: Take 2\n\n"
  "X:1\nT:Take 1\nM:4/4\nL:1/4\nQ:1/4=100\nK:G\n\"G7\"GBdB|\n\n"
  "X:2\nT:Take 2\nN:sure .98 .91\nM:4/4\nL:1/2\nQ:1/4=100\nK:G\n\"G7\"Gd|\n";

static char     heard[RL_PLAN_MAX + 1]; /* what was asked last; empty: nothing */
static RlPhrase phrase;

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  if (which == RL_HEAR_TAKE) {
    RlText to = rl_text_in(heard, sizeof(heard));
    rl_text_add(&to, text);
  } else {
    rl_controller_hear_text(controller, which, text);
  }
}

static void
place(const bool rolling, const bool sounds)
{
  const RlPlaceReport report = {.lit     = true,
                                .rolling = rolling,
                                .sounds  = sounds,
                                .part    = RL_PART_CHORUS,
                                .chorus  = 1,
                                .bar     = 1,
                                .bars    = 4,
                                .beats   = 4,
                                .unit    = 4,
                                .beat    = 1,
                                .tempo   = 132,
                                .sure    = 1};
  rl_controller_hear_place(controller, &report, now);
  look();
}

static int
window_open(void **state)
{
  const RlControllerPlugin plugin = {NULL, set_port, set_text};
  (void)state;
  root_empty();
  write_file("book.txt", "X:1\nT:Bell\nM:4/4\nL:1/8\nK:G\n\"G7\"G4 d4|\n");
  write_file("low.abc", "X:1\nT:Low\nM:4/4\nL:1/8\nK:G\n\"G7\"G,4 D4|\n");
  controller = rl_controller_new(&plugin, 1, NULL);
  assert_non_null(controller);
  rl_controller_set_phrase_files(controller, root, in("book.txt"));
  rl_controller_hear_text(controller, RL_CHART, song);
  rl_controller_hear_text(controller, RL_TAKE, takes);
  heard[0] = '\0';
  place(false, false);
  look();
  key('p');
  return 0;
}

static void
listen_to(const char *const title)
{
  act(RL_ACTION_PHRASE_SELECT, phrase_of(title));
  act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_LISTEN);
}

/* Reads what was asked, its tune into `phrase`, and forgets it. */
static RlHearTake
asked(void)
{
  static char text[sizeof(heard)];
  RlHearTake  take = {0};
  RlAbcError  error;
  const char *why;
  memcpy(text, heard, sizeof(text));
  assert_true(text[0] && rl_hear_take_read(rl_slice(text), &take, &why));
  memset(&phrase, 0, sizeof(phrase));
  assert_true(!take.tune.length || rl_abc_read(take.tune, &phrase, &error));
  heard[0] = '\0';
  return take;
}

static void
notes_are(const int first, const int last)
{
  assert_true(phrase.notes > 1);
  assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[0]), first);
  assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[phrase.notes - 1]), last);
}

static void
a_take_is_played_as_it_is_written(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    listen_to("Take 1");
    act(RL_ACTION_HEAR, 0);
    const RlHearTake take = asked();
    assert_true(take.verb == RL_HEAR_PLAY && rl_slice_is(take.title, "Take 1"));
    assert_int_equal(take.speed, RL_SPEED_FULL);
    assert_int_equal(take.tempo, 132);
    notes_are(67, 71); /* G and B, though bar 2 has C7 */
    assert_int_equal(phrase.notes, 4);
  }
}

static void
a_phrase_is_played_as_it_goes_on_its_bar(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    listen_to("Bell");
    act(RL_ACTION_HEAR, 0);
    asked();
    notes_are(67, 74);
    act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_LISTEN); /* closes it */
    act(RL_ACTION_PHRASE_BAR, 1);
    act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_LISTEN);
    act(RL_ACTION_HEAR, 0);
    asked();
    notes_are(72, 79); /* over C7, a fourth higher */
  }
}

static void
each_way_is_played_as_it_sounds(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    listen_to("Low");
    act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_WAYS);
    assert_true(phrases()->way_count > 1);
    for (int i = 0; i < phrases()->way_count; ++i) {
      const RlWay *const w = &phrases()->way[i];
      act(RL_ACTION_HEAR_WAY, i);
      asked();
      if (w->kind == RL_WAY_NEAREST) {
        assert_int_not_equal(rl_phrase_pitch(&phrase, &phrase.note[0]), 55);
      } else {
        notes_are(55 + 12 * w->octaves, 62 + 12 * w->octaves);
      }
    }
  }
}

static void
what_a_take_was_lifted_from_is_asked_for(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    listen_to("Take 1");
    assert_true(spot_find(RL_ACTION_HEAR_RECORD, 0) < 0); /* it was played */
    key('z');
    assert_string_equal(heard, "");
    listen_to("Take 2");
    act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_LISTEN);
    act(RL_ACTION_HEAR_RECORD, 0);
    assert_string_equal(heard, "record: Take 2\ntempo: 132\n");
    act(RL_ACTION_HEAR_BOTH, 0);
    const RlHearTake both = asked();
    assert_true(both.verb == RL_HEAR_BOTH && rl_slice_is(both.title, "Take 2"));
    notes_are(67, 74);
    key('z');
    assert_true(asked().verb == RL_HEAR_RECORD);
  }
}

static void
the_speed_goes_round(void **state)
{
  static const RlSpeed speeds[] = {RL_SPEED_THREE_QUARTERS, RL_SPEED_HALF, RL_SPEED_FULL};
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    listen_to("Take 2");
    for (int i = 0; i < 3; ++i) {
      act(RL_ACTION_HEAR_SPEED, 0);
      key('w');
      assert_int_equal(asked().speed, speeds[i]);
    }
  }
}

static void
what_sounds_is_stopped(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    listen_to("Take 2");
    place(false, true);
    key('w');
    assert_true(asked().verb == RL_HEAR_STOP);
    act(RL_ACTION_HEAR_STOP, 0);
    assert_true(asked().verb == RL_HEAR_STOP);
  }
}

static void
while_the_music_rolls_it_says_so(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    listen_to("Take 2");
    place(true, false);
    act(RL_ACTION_HEAR, 0);
    act(RL_ACTION_HEAR_RECORD, 0);
    assert_string_equal(heard, "");
    assert_non_null(strstr(rl_controller_view(controller)->edit.error, "the music rolls"));
    place(false, false);
    act(RL_ACTION_HEAR, 0);
    assert_string_equal(rl_controller_view(controller)->edit.error, "");
    asked();
  }
}

static void
elsewhere_the_keys_do_nothing(void **state)
{
  (void)state;
  key('p');
  key('w');
  key('z');
  assert_string_equal(heard, "");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown(a_take_is_played_as_it_is_written, window_open, window_close),
    cmocka_unit_test_setup_teardown(a_phrase_is_played_as_it_goes_on_its_bar, window_open,
                                    window_close),
    cmocka_unit_test_setup_teardown(each_way_is_played_as_it_sounds, window_open, window_close),
    cmocka_unit_test_setup_teardown(what_a_take_was_lifted_from_is_asked_for, window_open,
                                    window_close),
    cmocka_unit_test_setup_teardown(the_speed_goes_round, window_open, window_close),
    cmocka_unit_test_setup_teardown(what_sounds_is_stopped, window_open, window_close),
    cmocka_unit_test_setup_teardown(while_the_music_rolls_it_says_so, window_open, window_close),
    cmocka_unit_test_setup_teardown(elsewhere_the_keys_do_nothing, window_open, window_close),
  };
  if (!root_make()) {
    return EXIT_FAILURE;
  }
  const int failed = cmocka_run_group_tests_name("ui/auditioning", tests, NULL, NULL);
  root_remove();
  return failed;
}
