/* SPDX-License-Identifier: ISC */
/* Phrases of the library changed in the window, by mouse alone and by keyboard alone: what is in
   the files afterwards, byte for byte. */
#include "phrase_window.h"

#include "plugin/protocol/lift_ask.h"
#include "ui/controller/actions.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static const char song[] = "title: Ferry Street Slow Drag\nkey: G\n| I7 | IV7 | I7 | V7 |\n";

/* Two tunes, free text, lines that nobody knows; the first one ends its lines as it likes. */
static const char book[] = "%abc-2.1\nWords before.\n\nX:3\r\nT:Heron\r\n%%staves 1\r\nN:Slow.\r\n"
                           "M:4/4\r\nL:1/4\r\nK:G\r\nGABc|\r\n\n\nX:9\nT:Coil\nL:1/8\nK:G\n"
                           "G4 !trill!A4|\nw:la la\n\nWords behind.\n";

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  rl_controller_hear_text(controller, which, text);
}

static void
type(const char *text)
{
  for (; *text; ++text) {
    key((unsigned char)*text);
  }
}

static int
window_open(void **state)
{
  const RlControllerPlugin plugin = {NULL, set_port, set_text};
  (void)state;
  root_empty();
  write_file("book.txt", "X:1\nT:Bell\nN:Easy.\nM:4/4\nL:1/8\nK:G\nG4 A4|\n");
  write_file("a.abc", book);
  controller = rl_controller_new(&plugin, 1, NULL);
  assert_non_null(controller);
  rl_controller_set_phrase_files(controller, root, in("book.txt"));
  rl_controller_hear_text(controller, RL_CHART, song);
  look();
  key('p');
  return 0;
}

static void
panel_show(const char *const title, const RlPhrasePanel panel)
{
  act(RL_ACTION_PHRASE_SELECT, phrase_of(title));
  if (phrases()->panel != panel) {
    act(RL_ACTION_PHRASE_PANEL, (int)panel);
  }
}

/* Its notes. */
static void
edit(const char *const title)
{
  panel_show(title, RL_PHRASE_PANEL_EDIT);
}

/* Its title and tags. */
static void
about(const char *const title)
{
  panel_show(title, RL_PHRASE_PANEL_ABOUT);
}

static const char *
selected_title(void)
{
  return rl_view_phrase_title(rl_controller_view(controller), phrases()->selected);
}

/* ---- what changes, and what does not ---- */

/* The book with one thing else in it. */
static const char *
book_with(const char *const was, const char *const is)
{
  static char       text[1024];
  const char *const at = strstr(book, was);
  assert_non_null(at);
  snprintf(text, sizeof(text), "%.*s%s%s", (int)(at - book), book, is, at + strlen(was));
  return text;
}

static void
words_of_a_phrase_change_alone(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    about("Heron");
    act(RL_ACTION_PHRASE_REMARK, 0);
    type("Quick.");
    key(RL_KEY_ENTER);
    file_is("a.abc", book_with("Slow.", "Quick."));
    act(RL_ACTION_UNDO, 0);
    file_is("a.abc", book);
    act(RL_ACTION_PHRASE_FEEL, 0);
    type("swung");
    key(RL_KEY_ENTER);
    file_is("a.abc", book_with("T:Heron\r\n", "T:Heron\r\nR:swung\r\n"));
    act(RL_ACTION_UNDO, 0);
    act(RL_ACTION_PHRASE_OVER, 0);
    act(RL_ACTION_PHRASE_HARD, 0);
    act(RL_ACTION_PHRASE_HARD, 0);
    file_is("a.abc", book_with("T:Heron\r\n", "T:Heron\r\nG:over I, medium\r\n"));
    for (int i = 0; i < 3; ++i) {
      act(RL_ACTION_UNDO, 0);
    }
    file_is("a.abc", book);
    act(RL_ACTION_PHRASE_TITLE, 0);
    type("Grey Heron");
    key(RL_KEY_ENTER);
    assert_string_equal(selected_title(), "Grey Heron");
    file_is("a.abc", book_with("Heron", "Grey Heron"));
    act(RL_ACTION_UNDO, 0);
    file_is("a.abc", book);
    act(RL_ACTION_REDO, 0);
    file_is("a.abc", book_with("Heron", "Grey Heron"));
    assert_string_equal(selected_title(), "Grey Heron");
  }
}

static void
notes_change_as_those_of_takes(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    edit("Heron");
    act(RL_ACTION_NOTE_SELECT, 1);
    assert_int_equal(phrases()->note, 1);
    act(RL_ACTION_NOTE_EDIT, RL_NOTE_HIGHER);
    file_is("a.abc",
            book_with("L:1/4\r\nK:G\r\nGABc|\r\n", "L:1/8\r\nK:G\r\n\"G\"G2 _B2 =B2 c2|]\r\n"));
    act(RL_ACTION_UNDO, 0);
    file_is("a.abc", book);
    act(RL_ACTION_NOTE_EDIT, RL_NOTE_SCOOP);
    file_is("a.abc", book_with("L:1/4\r\nK:G\r\nGABc|\r\n",
                               "L:1/8\r\nK:G\r\n\"G\"G2 !slide!A2 B2 c2|]\r\n"));
    act(RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE);
    assert_int_equal(phrases()->note, 0);
    file_is("a.abc",
            book_with("L:1/4\r\nK:G\r\nGABc|\r\n", "L:1/8\r\nK:G\r\n\"G\"G2 z2 B2 c2|]\r\n"));
  }
}

static void
key_with(const int which, const bool shift, const bool control)
{
  input((RlInput){.kind = RL_INPUT_KEY, .key = which, .shift = shift, .control = control});
}

/* By keys alone; and what they mean is theirs only while notes are corrected. */
static void
every_edit_has_a_key(void **state)
{
  static const char *const bars = "L:1/4\r\nK:G\r\nGABc|\r\n";
  static const struct {
    int         key;
    bool        shift, control;
    const char *music;
  } keys[] = {{RL_KEY_LEFT, true, false, "\"G\"G3/A5/ B2 c2|]"},
              {RL_KEY_RIGHT, true, false, "\"G\"G5/A3/ B2 c2|]"},
              {RL_KEY_UP, true, false, "\"G\"G2 _B2 =B2 c2|]"},
              {RL_KEY_DOWN, true, false, "\"G\"G2 _A2 B2 c2|]"},
              {RL_KEY_DOWN, false, true, "\"G\"G2 A3/z/ B2 c2|]"},
              {RL_KEY_DELETE, false, false, "\"G\"G2 z2 B2 c2|]"},
              {'x', false, false, "\"G\"G2 z2 B2 c2|]"},
              {'i', false, false, "\"G\"G2 AA B2 c2|]"},
              {'v', false, false, "\"G\"G2 AA B2 c2|]"},
              {'j', false, false, "\"G\"G2 A4 c2|]"},
              {'u', false, false, "\"G\"G2 !slide!A2 B2 c2|]"},
              {'U', true, false, "\"G\"G2 \"^fall\"A2 B2 c2|]"}};
  (void)state;
  key('x'); /* no notes are corrected */
  file_is("a.abc", book);
  edit("Heron");
  for (size_t i = 0; i < sizeof(keys) / sizeof(keys[0]); ++i) {
    char is[128];
    key_with(RL_KEY_RIGHT, false, true);
    assert_int_equal(phrases()->note, 1);
    key_with(keys[i].key, keys[i].shift, keys[i].control);
    snprintf(is, sizeof(is), "L:1/8\r\nK:G\r\n%s\r\n", keys[i].music);
    file_is("a.abc", book_with(bars, is));
    key_with('z', false, true);
    file_is("a.abc", book);
    key_with(RL_KEY_LEFT, false, true);
    while (phrases()->note) {
      key_with(RL_KEY_LEFT, false, true);
    }
  }
  key_with(RL_KEY_UP, false, true); /* no room for it */
  assert_non_null(strstr(rl_controller_view(controller)->edit.error, "the next note begins there"));
  key('y');
  assert_non_null(strstr(rl_controller_view(controller)->edit.error, "might be wrong"));
  key('q');
  assert_non_null(strstr(rl_controller_view(controller)->edit.error, "marked with ?"));
}

/* Keys that do something everywhere are none of these. */
static void
keys_do_not_clash(void **state)
{
  (void)state;
  for (int which = ' '; which < 0x7F; ++which) {
    const RlInput in = {.kind = RL_INPUT_KEY, .key = which};
    assert_true(rl_action_of_key(which) == RL_ACTION_NONE ||
                rl_action_of_note_key(&in).kind == RL_ACTION_NONE);
  }
}

/* What is not sure is accepted or deleted; the line in the file says so. A click on a note selects
   it. */
static void
notes_that_are_not_sure_are_accepted(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    write_file("l.abc", "X:1\nT:Loon\nN:sure .98 .34 .50 .20\nM:4/4\nL:1/8\nK:G\nGABc d4|\n");
    key('p');
    key('p');
    edit("Loon");
    assert_int_equal(phrases()->onsets, 5); /* five notes and four numbers: nothing is known */
    assert_int_equal(rl_view_perhaps(rl_controller_view(controller)), 0);
    write_file("l.abc", "X:1\nT:Loon\nN:sure .98 .34 .50 .20\nM:4/4\nL:1/8\nK:G\nGABc|\n");
    key('p');
    key('p');
    edit("Loon");
    assert_int_equal(rl_view_perhaps(rl_controller_view(controller)), 2);
    act(RL_ACTION_NOTE_UNSURE, 0);
    assert_int_equal(phrases()->note, 1);
    act(RL_ACTION_NOTE_EDIT, RL_NOTE_ACCEPT);
    assert_int_equal(phrases()->note, 3);
    file_is("l.abc", "X:1\nT:Loon\nN:sure .98 1 .50 .20\nM:4/4\nL:1/8\nK:G\n\"G\"GA Bc|]\n");
    act(RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE);
    file_is("l.abc", "X:1\nT:Loon\nN:sure .98 1 .50\nM:4/4\nL:1/8\nK:G\n\"G\"GA Bz|]\n");
    assert_int_equal(rl_view_perhaps(rl_controller_view(controller)), 0);
    act(RL_ACTION_NOTE_PICK, 0);
    assert_int_equal(phrases()->note, 0);
    unlink(in("l.abc"));
  }
}

static void
a_phrase_is_deleted_and_comes_back(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    about("Coil");
    act(RL_ACTION_PHRASE_DELETE, 0);
    assert_string_equal(rl_controller_view(controller)->notice,
                        "Coil is deleted. undo brings it back.");
    file_is("a.abc", book_with("X:9\nT:Coil\nL:1/8\nK:G\nG4 !trill!A4|\nw:la la\n\n", ""));
    act(RL_ACTION_UNDO, 0);
    file_is("a.abc", book);
  }
}

/* A file goes with its last phrase, and comes back as it was. */
static void
a_file_goes_with_its_last_phrase(void **state)
{
  static const char alone[] = "%abc-2.1\n%%scale 1\nX:1\nT:Alone\nK:G\nG8|\n";
  (void)state;
  write_file("b.abc", alone);
  key('p');
  key('p');
  about("Alone");
  act(RL_ACTION_PHRASE_DELETE, 0);
  assert_int_not_equal(access(in("b.abc"), F_OK), 0);
  act(RL_ACTION_UNDO, 0);
  file_is("b.abc", alone);
}

/* ---- copies ---- */

static void
what_comes_along_is_changed_in_a_copy(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    about("Bell");
    act(RL_ACTION_PHRASE_HARD, 0);
    assert_string_equal(selected_title(), "Bell 2");
    file_is("bell-2.abc", "%abc-2.1\nX:1\nT:Bell 2\nG:easy\nN:Easy.\nM:4/4\nL:1/8\nK:G\nG4 A4|\n");
    file_is("book.txt", "X:1\nT:Bell\nN:Easy.\nM:4/4\nL:1/8\nK:G\nG4 A4|\n");
    about("Bell");
    act(RL_ACTION_PHRASE_DELETE, 0);
    assert_non_null(strstr(rl_controller_view(controller)->edit.error, "comes along"));
    act(RL_ACTION_PHRASE_TITLE, 0);
    type("Ship's Bell");
    key(RL_KEY_ENTER);
    assert_string_equal(selected_title(), "Ship's Bell");
    act(RL_ACTION_UNDO, 0);
    act(RL_ACTION_UNDO, 0);
    assert_int_not_equal(access(in("bell-2.abc"), F_OK), 0);
    assert_int_not_equal(access(in("ship-s-bell.abc"), F_OK), 0);
  }
}

/* Notes of a tune that holds more than a phrase can: the tune stays, byte for byte. */
static void
ornaments_are_not_lost(void **state)
{
  (void)state;
  edit("Coil");
  act(RL_ACTION_NOTE_EDIT, RL_NOTE_LOWER);
  file_is("a.abc", book);
  assert_string_equal(selected_title(), "Coil 2");
  assert_non_null(strstr(rl_controller_view(controller)->notice, "Coil holds what"));
  file_is("coil-2.abc", "%abc-2.1\nX:1\nT:Coil 2\nM:none\nL:1/8\nK:G\n\"G\"F4A4|]\n");
}

/* ---- somebody else ---- */

static void
a_file_that_somebody_else_changed_is_left_alone(void **state)
{
  char theirs[1024];
  (void)state;
  about("Heron");
  act(RL_ACTION_PHRASE_HARD, 0);
  snprintf(theirs, sizeof(theirs), "%s", book_with("Slow.", "Fast."));
  write_file("a.abc", theirs);
  act(RL_ACTION_PHRASE_HARD, 0);
  file_is("a.abc", theirs);
  look();
  assert_non_null(strstr(rl_controller_view(controller)->notice,
                         "a.abc was changed by somebody else since it was read"));
  assert_false(rl_controller_view(controller)->undo);
  assert_int_equal(phrases()->tags.hard, 0);
  key(RL_KEY_ESCAPE);
  act(RL_ACTION_PHRASE_HARD, 0); /* the way out: once more */
  file_is("a.abc", book_with("T:Heron\r\n%%staves 1\r\nN:Slow.",
                             "T:Heron\r\nG:easy\r\n%%staves 1\r\nN:Fast."));
}

static void
what_cannot_be_is_said_and_nothing_is_lost(void **state)
{
  static const char latin1[] = "X:1\nT:Caf\xE9\nK:G\nG8|\n";
  (void)state;
  write_file("c.abc", latin1);
  key('p');
  key('p');
  about("Caf\xC3\xA9");
  act(RL_ACTION_PHRASE_REMARK, 0);
  input((RlInput){.kind = RL_INPUT_KEY, .key = 0x266D});
  key(RL_KEY_ENTER);
  assert_non_null(strstr(rl_controller_view(controller)->edit.error, "Latin-1"));
  file_is("c.abc", latin1);
  key(RL_KEY_ESCAPE);
  act(RL_ACTION_PHRASE_REMARK, 0);
  type("50%");
  key(RL_KEY_ENTER);
  assert_non_null(strstr(rl_controller_view(controller)->edit.error, "in words"));
  key(RL_KEY_ESCAPE);
  act(RL_ACTION_PHRASE_REMARK, 0);
  input((RlInput){.kind = RL_INPUT_KEY, .key = 0xFC});
  key(RL_KEY_ENTER);
  file_is("c.abc", "X:1\nT:Caf\xE9\nN:\xFC\nK:G\nG8|\n");
}

/* ---- made to fit ---- */

/* One note below the harp: an octave higher it sits, in a copy that sounds just so. */
static void
a_phrase_that_does_not_sit_is_made_to_fit(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    write_file("low.abc", "X:1\nT:Low\nM:4/4\nL:1/8\nK:G\n\"G7\"G,4 D4|\n");
    key('p');
    key('p');
    act(RL_ACTION_PHRASE_SELECT, phrase_of("Low"));
    act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_WAYS);
    int octave = -1, other = -1;
    assert_true(phrases()->way_count > 1);
    for (int i = 0; i < phrases()->way_count; ++i) {
      assert_true(phrases()->way_tab[i][0]);
      octave = phrases()->way[i].kind == RL_WAY_OCTAVE ? i : octave;
      other  = phrases()->way[i].kind == RL_WAY_POSITION ? i : other;
    }
    assert_true(octave >= 0 && other >= 0);
    act(RL_ACTION_WAY_TAKE, octave);
    assert_string_equal(selected_title(), "Low 2");
    assert_int_equal(phrases()->panel, RL_PHRASE_PANEL_PUT);
    file_is("low-2.abc", "%abc-2.1\nX:1\nT:Low 2\nM:4/4\nL:1/8\nK:G\n\"G7\"G4 d4|]\n");
    assert_int_equal(phrases()->lane->replaced, 0);
    act(RL_ACTION_UNDO, 0);
    assert_int_not_equal(access(in("low-2.abc"), F_OK), 0);
    act(RL_ACTION_PHRASE_SELECT, phrase_of("Low"));
    act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_WAYS);
    const RlHarpChoice before = rl_view_harp(rl_controller_view(controller));
    const RlHarpChoice wanted = phrases()->way[other].harp;
    act(RL_ACTION_WAY_TAKE, other);
    assert_int_equal(rl_view_harp(rl_controller_view(controller)).key, wanted.key);
    act(RL_ACTION_UNDO, 0);
    assert_int_equal(rl_view_harp(rl_controller_view(controller)).key, before.key);
    unlink(in("low.abc"));
  }
}

/* ---- the list ---- */

static void
phrases_are_listed_by_what_fits_the_bar(void **state)
{
  (void)state;
  for (int way = 0; way < 2; ++way) {
    again(way);
    write_file("z.abc", "X:1\nT:Zinc\nM:4/4\nL:1/8\nK:G\n\"C7\"c4 c4|c4 c4|c4 c4|\n\n"
                        "X:2\nT:Ash\nG:over V\nM:4/4\nL:1/8\nK:G\n\"G7\"_A,,4 _A,,4|\n");
    key('p');
    key('p');
    act(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_LIST);
    const RlView *const v = rl_controller_view(controller);
    assert_int_equal(rl_view_listed(v), 5);
    act(RL_ACTION_LIST_OVER, 0); /* bar 1: the one chord */
    assert_int_equal(rl_view_listed(v), 3);
    act(RL_ACTION_LIST_OVER, 0);
    act(RL_ACTION_LIST_LENGTH, 0);
    assert_int_equal(rl_view_listed(v), 4); /* Zinc has three bars */
    act(RL_ACTION_LIST_LENGTH, 0);
    act(RL_ACTION_LIST_LENGTH, 0);
    assert_int_equal(rl_view_listed(v), 5);
    act(RL_ACTION_LIST_LENGTH, 0);
    act(RL_ACTION_LIST_ORDER, 0);
    assert_string_equal(rl_view_phrase_title(v, rl_view_listed_phrase(v, 0)), "Ash");
    assert_string_equal(rl_view_phrase_title(v, rl_view_listed_phrase(v, 4)), "Zinc");
    act(RL_ACTION_LIST_ORDER, 0);
    assert_string_equal(rl_view_phrase_title(v, rl_view_listed_phrase(v, 4)), "Zinc");
    act(RL_ACTION_LIST_ORDER, 0);
    act(RL_ACTION_LIST_ORDER, 0);
    assert_int_equal(phrases()->list.order, RL_LIST_BY_FILE);
  }
}

/* The window asks for the picture by itself: that there is none is a remark, and no problem. */
static void
a_take_without_a_picture_is_no_problem(void **const state)
{
  (void)state;
  rl_controller_hear_text(
    controller, RL_TAKE,
    "bar 2: Take 1\nbar 3: Take 2\n\nX:1\nT:Take 1\nN:sure .98 .34\nM:4/4\n"
    "L:1/2\nK:G\nGA|\n\nX:2\nT:Take 2\nN:sure .98 .34\nM:4/4\nL:1/2\nK:G\nGB|\n");
  look();
  panel_show("Take 1", RL_PHRASE_PANEL_EDIT);
  assert_false(phrases()->unheard);
  rl_controller_hear_text(controller, RL_PROBLEM, rl_lift_no_picture);
  look();
  assert_true(phrases()->unheard);
  assert_string_equal(rl_controller_view(controller)->problem, "");
  panel_show("Take 2", RL_PHRASE_PANEL_EDIT);
  assert_false(phrases()->unheard);
  rl_controller_hear_text(controller, RL_PROBLEM, "lift: bar 3: not heard");
  assert_string_equal(rl_controller_view(controller)->problem, "lift: bar 3: not heard");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, window_open, window_close)

int
main(void)
{
  const struct CMUnitTest tests[] = {
    TEST(words_of_a_phrase_change_alone),
    TEST(notes_change_as_those_of_takes),
    TEST(every_edit_has_a_key),
    cmocka_unit_test(keys_do_not_clash),
    TEST(a_take_without_a_picture_is_no_problem),
    TEST(notes_that_are_not_sure_are_accepted),
    TEST(a_phrase_is_deleted_and_comes_back),
    TEST(a_file_goes_with_its_last_phrase),
    TEST(what_comes_along_is_changed_in_a_copy),
    TEST(ornaments_are_not_lost),
    TEST(a_file_that_somebody_else_changed_is_left_alone),
    TEST(what_cannot_be_is_said_and_nothing_is_lost),
    TEST(a_phrase_that_does_not_sit_is_made_to_fit),
    TEST(phrases_are_listed_by_what_fits_the_bar),
  };
  if (!root_make()) {
    return EXIT_FAILURE;
  }
  const int failed = cmocka_run_group_tests(tests, NULL, NULL);
  root_remove();
  return failed;
}
