/* SPDX-License-Identifier: ISC */
/* Names of files as titles. Source: ABC 2.1 (abcnotation.com/wiki/abc:standard:v2.1): a field is
   one line, % begins a comment. */
#include "core/phrase/title.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const char *
title(const char *const name, const size_t room)
{
  static char written[64];
  RlText      text = rl_text_in(written, room);
  rl_title_write(rl_slice(name), "recording", &text);
  return written;
}

static void
a_name_of_two_lines_is_a_title_of_one(void **state)
{
  (void)state;
  assert_string_equal(title("night\nK:C\nferry", 64), "night K:C ferry");
  assert_string_equal(title("50% faster, \\ again", 64), "50  faster    again");
  assert_string_equal(title("Fähre ♭3", 64), "Fähre ♭3");
}

static void
a_title_that_is_cut_ends_with_a_whole_character(void **state)
{
  (void)state;
  assert_string_equal(title("Fähre", 3), "F");
  assert_string_equal(title("Fähre", 4), "Fä");
  assert_string_equal(title("a,♭", 5), "a ");
}

static void
where_nothing_is_left_another_word_stands(void **state)
{
  (void)state;
  assert_string_equal(title("", 64), "recording");
  assert_string_equal(title(" ,%\n", 64), "recording");
  assert_string_equal(title("F\xE4hre", 64), "recording"); /* Latin-1 */
  assert_string_equal(title("a\x1b[2J", 64), "recording");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_name_of_two_lines_is_a_title_of_one),
    cmocka_unit_test(a_title_that_is_cut_ends_with_a_whole_character),
    cmocka_unit_test(where_nothing_is_left_another_word_stands),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
