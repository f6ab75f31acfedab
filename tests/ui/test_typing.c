/* SPDX-License-Identifier: ISC */
/* A text under a person's hands. Source: RFC 3629 for what UTF-8 is. */
#include "ui/model/text_input.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static RlTextInput typing;

static bool
key(const int which)
{
  return rl_text_input_key(&typing, &(RlInput){.kind = RL_INPUT_KEY, .key = which});
}

static void
type(const char *text)
{
  for (; *text; ++text) {
    assert_true(key((unsigned char)*text));
  }
}

static void
it_begins_with_a_text_and_the_caret_behind_it(void **state)
{
  (void)state;
  rl_text_input_begin(&typing, rl_slice("I7 IV7"), false);
  assert_string_equal(typing.text, "I7 IV7");
  assert_int_equal(typing.caret, 6);
  type(" V7");
  assert_string_equal(typing.text, "I7 IV7 V7");
}

static void
characters_come_and_go_at_the_caret(void **state)
{
  (void)state;
  rl_text_input_begin(&typing, rl_slice("I7V7"), false);
  key(RL_KEY_LEFT);
  key(RL_KEY_LEFT);
  type(" / ");
  assert_string_equal(typing.text, "I7 / V7");
  key(RL_KEY_BACKSPACE);
  key(RL_KEY_DELETE);
  assert_string_equal(typing.text, "I7 /7");
  key(RL_KEY_HOME);
  assert_true(key(RL_KEY_BACKSPACE)); /* nothing is before the first */
  key(RL_KEY_DELETE);
  assert_string_equal(typing.text, "7 /7");
  key(RL_KEY_END);
  assert_true(key(RL_KEY_DELETE));
  assert_string_equal(typing.text, "7 /7");
}

static void
a_character_of_several_bytes_is_one(void **state)
{
  (void)state;
  rl_text_input_begin(&typing, rl_slice("B\xE2\x99\xAD"), false);
  key(0xE9); /* é */
  key(0x1F600);
  assert_string_equal(typing.text, "B\xE2\x99\xAD\xC3\xA9\xF0\x9F\x98\x80");
  key(RL_KEY_LEFT);
  key(RL_KEY_BACKSPACE);
  assert_string_equal(typing.text, "B\xE2\x99\xAD\xF0\x9F\x98\x80");
  key(RL_KEY_LEFT);
  key(RL_KEY_DELETE);
  assert_string_equal(typing.text, "B\xF0\x9F\x98\x80");
}

static void
lines_are_walked_up_and_down(void **state)
{
  size_t column;
  (void)state;
  rl_text_input_begin(&typing, rl_slice("title: x\n| I7 |\n| IV7 | V7 |"), true);
  assert_int_equal(rl_text_input_lines(&typing), 3);
  key(RL_KEY_UP);
  assert_int_equal(rl_text_input_line(&typing, &column), 1);
  assert_int_equal(column, 6); /* as far as the line goes */
  key(RL_KEY_HOME);
  key(RL_KEY_UP);
  assert_int_equal(typing.caret, 0);
  key(RL_KEY_DOWN);
  key(RL_KEY_DOWN);
  key(RL_KEY_DOWN);
  assert_int_equal(rl_text_input_line(&typing, &column), 2);
  assert_true(key(RL_KEY_ENTER));
  assert_int_equal(rl_text_input_lines(&typing), 4);
  assert_int_equal(rl_text_input_at(&typing, 0).length, 8);
  assert_int_equal(rl_text_input_at(&typing, 99).length, 0);
}

static void
one_line_takes_no_line_end(void **state)
{
  (void)state;
  rl_text_input_begin(&typing, rl_slice("I7"), false);
  assert_false(key(RL_KEY_ENTER));
  assert_false(key(RL_KEY_UP));
  assert_string_equal(typing.text, "I7");
}

static void
control_and_alt_make_no_characters(void **state)
{
  (void)state;
  rl_text_input_begin(&typing, rl_slice(""), false);
  rl_text_input_key(&typing, &(RlInput){.kind = RL_INPUT_KEY, .key = 'v', .control = true});
  rl_text_input_key(&typing, &(RlInput){.kind = RL_INPUT_KEY, .key = 'v', .alt = true});
  rl_text_input_key(&typing, &(RlInput){.kind = RL_INPUT_KEY, .key = 0x7F});
  rl_text_input_key(&typing, &(RlInput){.kind = RL_INPUT_KEY, .key = 7});
  assert_string_equal(typing.text, "");
}

static void
a_full_text_takes_no_more(void **state)
{
  static char full[RL_TEXT_INPUT_SIZE + 100];
  (void)state;
  memset(full, 'a', sizeof(full) - 1);
  rl_text_input_begin(&typing, rl_slice(full), true);
  assert_int_equal(typing.length, RL_TEXT_INPUT_SIZE - 1);
  type("b");
  assert_int_equal(typing.length, RL_TEXT_INPUT_SIZE - 1);
  key(RL_KEY_BACKSPACE);
  type("b");
  assert_int_equal(typing.text[RL_TEXT_INPUT_SIZE - 2], 'b');
}

/* RFC 3629: D800 to DFFF are no characters. */
static void
what_is_no_character_is_not_taken(void **state)
{
  (void)state;
  rl_text_input_begin(&typing, rl_slice("I7"), true);
  for (int c = 0xD7FE; c < 0xE002; ++c) {
    key(c);
    assert_int_equal(rl_slice_bad_byte((RlSlice){typing.text, typing.length}), -1);
  }
  key(0x10FFFF);
  assert_int_equal(rl_slice_bad_byte((RlSlice){typing.text, typing.length}), -1);
  assert_int_equal(typing.length, 2 + 2 * 3 + 2 * 3 + 4);
}

/* A text that fills the room to the last byte but one or two has no room for three. */
static void
a_character_comes_whole_or_not_at_all(void **state)
{
  static char full[RL_TEXT_INPUT_SIZE + 1];
  (void)state;
  for (size_t spare = 0; spare < 4; ++spare) {
    memset(full, 'a', RL_TEXT_INPUT_SIZE);
    full[RL_TEXT_INPUT_SIZE - 1 - spare] = '\0';
    rl_text_input_begin(&typing, rl_slice(full), true);
    key(0x266D);
    assert_int_equal(typing.length, RL_TEXT_INPUT_SIZE - 1 - spare + (spare < 3 ? 0 : 3));
    assert_int_equal(strlen(typing.text), typing.length);
  }
  memset(full, 'a', sizeof(full));
  memcpy(full + RL_TEXT_INPUT_SIZE - 3, "\xE2\x99\xAD", 4); /* room for two of its three bytes */
  rl_text_input_begin(&typing, rl_slice(full), true);
  assert_int_equal(typing.length, RL_TEXT_INPUT_SIZE - 3);
}

static void
whatever_is_pressed_it_stays_a_text(void **state)
{
  static const int keys[] = {RL_KEY_LEFT,   RL_KEY_RIGHT, RL_KEY_UP,        RL_KEY_DOWN,
                             RL_KEY_HOME,   RL_KEY_END,   RL_KEY_PAGE_UP,   RL_KEY_PAGE_DOWN,
                             RL_KEY_DELETE, RL_KEY_ENTER, RL_KEY_BACKSPACE, RL_KEY_BACKSPACE};
  enum { KEYS = sizeof(keys) / sizeof(keys[0]) };
  (void)state;
  srand(4);
  rl_text_input_begin(&typing, rl_slice(""), true);
  for (int i = 0; i < 200000; ++i) {
    const int n = rand() % 24;
    key(n < KEYS ? keys[n] : n < 20 ? 'A' + rand() % 26 : 0xA0 + rand() % 0x2000);
    if (rand() % 100 == 0) {
      rl_text_input_put(&typing, (size_t)rand() % 30, (size_t)rand() % 30);
    }
    if (rand() % 1000 == 0) {
      rl_text_input_select(&typing);
    }
    assert_true(typing.caret <= typing.length && typing.length < RL_TEXT_INPUT_SIZE);
    if (i % 64 == 0) {
      assert_int_equal(strlen(typing.text), typing.length);
      assert_int_equal(rl_slice_bad_byte((RlSlice){typing.text, typing.length}), -1);
      assert_int_equal(rl_slice_bad_byte((RlSlice){typing.text, typing.caret}), -1);
    }
  }
}

/* ---- everything selected ---- */

static void
select_again(void)
{
  rl_text_input_begin(&typing, rl_slice("I7 IV7"), false);
  rl_text_input_select(&typing);
  assert_true(typing.all);
}

static void
what_is_selected_gives_way_to_what_is_typed(void **state)
{
  static const int deletes[] = {RL_KEY_BACKSPACE, RL_KEY_DELETE};
  (void)state;
  select_again();
  type("Am7");
  assert_string_equal(typing.text, "Am7");
  assert_false(typing.all);
  for (int i = 0; i < 2; ++i) {
    select_again();
    assert_true(key(deletes[i]));
    assert_string_equal(typing.text, "");
    assert_false(typing.all);
  }
  rl_text_input_select(&typing); /* of nothing */
  assert_false(typing.all);
}

static void
a_movement_of_the_caret_ends_the_selection_and_nothing_else(void **state)
{
  static const struct {
    int         key;
    const char *then_x;
  } moves[] = {{RL_KEY_LEFT, "xI7 IV7"},
               {RL_KEY_HOME, "xI7 IV7"},
               {RL_KEY_RIGHT, "I7 IV7x"},
               {RL_KEY_END, "I7 IV7x"}};
  (void)state;
  for (int i = 0; i < 4; ++i) {
    select_again();
    assert_true(key(moves[i].key));
    assert_false(typing.all);
    type("x");
    assert_string_equal(typing.text, moves[i].then_x);
  }
  select_again();
  rl_text_input_put(&typing, 0, 2);
  type("x");
  assert_string_equal(typing.text, "I7x IV7");
  rl_text_input_begin(&typing, rl_slice("I7\n| IV7 |\n"), true);
  assert_true(
    rl_text_input_key(&typing, &(RlInput){.kind = RL_INPUT_KEY, .key = 'a', .control = true}));
  key(RL_KEY_ENTER);
  type("x");
  assert_string_equal(typing.text, "\nx");
  select_again();
  assert_false(key(RL_KEY_UP)); /* none of the keys of one line */
  assert_false(key(RL_KEY_TAB));
  rl_text_input_key(&typing, &(RlInput){.kind = RL_INPUT_KEY, .key = 'v', .control = true});
  assert_true(typing.all);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(it_begins_with_a_text_and_the_caret_behind_it),
    cmocka_unit_test(characters_come_and_go_at_the_caret),
    cmocka_unit_test(what_is_selected_gives_way_to_what_is_typed),
    cmocka_unit_test(a_movement_of_the_caret_ends_the_selection_and_nothing_else),
    cmocka_unit_test(a_character_of_several_bytes_is_one),
    cmocka_unit_test(lines_are_walked_up_and_down),
    cmocka_unit_test(one_line_takes_no_line_end),
    cmocka_unit_test(control_and_alt_make_no_characters),
    cmocka_unit_test(a_full_text_takes_no_more),
    cmocka_unit_test(what_is_no_character_is_not_taken),
    cmocka_unit_test(a_character_comes_whole_or_not_at_all),
    cmocka_unit_test(whatever_is_pressed_it_stays_a_text),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
