/* SPDX-License-Identifier: ISC */
/* Texts and slices. Sources: RFC 3629 (UTF-8); the rest is what core/text/text.h promises. */
#include "core/text/text.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <setjmp.h>

#include <cmocka.h>

/* 1, 2, 3 and 4 bytes: a, e acute, music flat sign, G clef. */
#define MIXED "a\xC3\xA9\xE2\x99\xAD\xF0\x9D\x84\x9E"

/* Where MIXED may be cut, by hand. */
static const size_t mixed_borders[] = {0, 1, 3, 6, 10};

enum { BORDERS = sizeof(mixed_borders) / sizeof(mixed_borders[0]), FENCE = 0x5A };

static size_t
longest_cut(const size_t room)
{
  size_t best = 0;
  for (size_t i = 0; i < BORDERS; ++i) {
    best = mixed_borders[i] < room ? mixed_borders[i] : best;
  }
  return best;
}

static void
a_text_is_cut_at_a_whole_character(void **state)
{
  (void)state;
  for (size_t room = 1; room <= sizeof(MIXED) + 2; ++room) {
    char buffer[sizeof(MIXED) + 4];
    memset(buffer, FENCE, sizeof(buffer));
    RlText text = rl_text_in(buffer, room);
    rl_text_add(&text, MIXED);
    assert_int_equal(text.used, longest_cut(room));
    assert_int_equal(strlen(buffer), text.used);
    assert_memory_equal(buffer, MIXED, text.used);
    for (size_t i = room; i < sizeof(buffer); ++i) {
      assert_int_equal(buffer[i], FENCE); /* nothing past the room */
    }
  }
}

static void
a_quote_is_39_bytes_at_the_most_and_what_follows_it_stays(void **state)
{
  static const char long_one[] = "0123456789012345678901234567890123456\xE2\x99\xAD and so on";
  char              buffer[64];
  RlText            text = rl_text_in(buffer, sizeof(buffer));
  (void)state;
  rl_text_add(&text, "no \"");
  rl_text_add_quote(&text, rl_slice(long_one)); /* the flat sign would end at byte 40 */
  rl_text_add(&text, "\"");
  assert_string_equal(buffer, "no \"0123456789012345678901234567890123456\"");
  text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add_quote(&text, rl_slice(long_one + 1));
  assert_string_equal(buffer, "123456789012345678901234567890123456\xE2\x99\xAD");
  text = rl_text_in(buffer, 8);
  rl_text_add(&text, "01234");
  rl_text_add_quote(&text, rl_slice(long_one));
  assert_string_equal(buffer, "0123401");
  rl_text_add_quote(&text, rl_slice(long_one));
  assert_string_equal(buffer, "0123401");
}

static void
a_text_is_cut_at_a_whole_character_wherever_it_begins(void **state)
{
  (void)state;
  for (size_t before = 0; before < 12; ++before) {
    char   buffer[12];
    RlText text = rl_text_in(buffer, sizeof(buffer));
    for (size_t i = 0; i < before; ++i) {
      rl_text_add(&text, "x");
    }
    const size_t used = text.used;
    assert_int_equal(used, before < 11 ? before : 11);
    rl_text_add(&text, MIXED);
    assert_int_equal(text.used, used + longest_cut(sizeof(buffer) - used));
    assert_int_equal(rl_slice_bad_byte(rl_slice(buffer)), -1);
  }
}

static void
a_text_begins_empty_and_grows(void **state)
{
  (void)state;
  char   buffer[16] = "rubbish";
  RlText text       = rl_text_in(buffer, sizeof(buffer));
  assert_string_equal(buffer, "");
  assert_int_equal(text.size, 16);
  rl_text_add(&text, "bar ");
  rl_text_add(&text, "");
  rl_text_add_slice(&text, (RlSlice){"12345", 2});
  rl_text_add_slice(&text, (RlSlice){NULL, 0});
  rl_text_add_int(&text, 7);
  assert_string_equal(buffer, "bar 127");
  assert_int_equal(text.used, 7);
}

static void
a_buffer_of_one_byte_holds_the_empty_text(void **state)
{
  (void)state;
  char   buffer[2] = {FENCE, FENCE};
  RlText text      = rl_text_in(buffer, 1);
  rl_text_add(&text, "x");
  rl_text_add_int(&text, 5);
  assert_int_equal(buffer[0], '\0');
  assert_int_equal(buffer[1], FENCE);
  assert_int_equal(text.used, 0);
}

static void
whole_numbers_are_written_to_both_ends_of_their_range(void **state)
{
  (void)state;
  static const struct {
    int64_t     number;
    const char *written;
  } cases[] = {
    {0, "0"},
    {7, "7"},
    {-1, "-1"},
    {10, "10"},
    {-100, "-100"},
    {1234567890, "1234567890"},
    {INT32_MIN, "-2147483648"},
    {INT64_MAX, "9223372036854775807"},
    {INT64_MIN + 1, "-9223372036854775807"},
    {INT64_MIN, "-9223372036854775808"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char   buffer[24];
    RlText text = rl_text_in(buffer, sizeof(buffer));
    rl_text_add_int(&text, cases[i].number);
    assert_string_equal(buffer, cases[i].written);
    assert_int_equal(text.used, strlen(cases[i].written));
  }
}

/* Another way to write a number: the C library's. */
static void
whole_numbers_are_written_as_printf_writes_them(void **state)
{
  (void)state;
  for (int i = -3000; i <= 3000; ++i) {
    char   ours[24];
    char   theirs[24];
    RlText text = rl_text_in(ours, sizeof(ours));
    rl_text_add_int(&text, (int64_t)i * 7919 * 104729);
    snprintf(theirs, sizeof(theirs), "%lld", (long long)i * 7919 * 104729);
    assert_string_equal(ours, theirs);
  }
}

static void
a_slice_compares_by_all_its_bytes(void **state)
{
  (void)state;
  const RlSlice slice = {"maj7 and more", 4};
  assert_true(rl_slice_is(slice, "maj7"));
  assert_false(rl_slice_is(slice, "maj"));
  assert_false(rl_slice_is(slice, "maj7 "));
  assert_true(rl_slice_begins(slice, ""));
  assert_true(rl_slice_begins(slice, "maj"));
  assert_true(rl_slice_begins(slice, "maj7"));
  assert_false(rl_slice_begins(slice, "maj7 "));
  assert_false(rl_slice_begins(slice, "Maj"));
  assert_true(rl_slice_is(rl_slice(""), ""));
  assert_false(rl_slice_is((RlSlice){"a\0b", 3}, "a")); /* a NUL inside does not end it */
}

static void
a_slice_loses_no_more_than_it_has(void **state)
{
  (void)state;
  const RlSlice slice = rl_slice("bVII7");
  assert_true(rl_slice_is(rl_slice_after(slice, 0), "bVII7"));
  assert_true(rl_slice_is(rl_slice_after(slice, 4), "7"));
  assert_int_equal(rl_slice_after(slice, 5).length, 0);
  assert_int_equal(rl_slice_after(slice, 6).length, 0);
  assert_int_equal(rl_slice_after(slice, SIZE_MAX).length, 0);
  assert_ptr_equal(rl_slice_after(slice, SIZE_MAX).at, slice.at + 5);
}

static void
trimming_takes_spaces_and_tabs_from_both_ends_only(void **state)
{
  (void)state;
  static const struct {
    const char *from, *to;
  } cases[] = {
    {"", ""},           {" ", ""},    {" \t \t", ""},       {"a", "a"},
    {"  a", "a"},       {"a\t", "a"}, {"\t a b \t", "a b"}, {"\xC2\xA0", "\xC2\xA0"},
    {"\na\n", "\na\n"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    assert_true(rl_slice_is(rl_slice_trim(rl_slice(cases[i].from)), cases[i].to));
  }
}

static void
a_number_has_one_to_six_digits_and_nothing_else(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    int         number;
  } cases[] = {
    {"0", 0},    {"7", 7},        {"007", 7},      {"128", 128},     {"999999", 999999},
    {"", -1},    {"1000000", -1}, {"0000001", -1}, {"-1", -1},       {"+1", -1},
    {" 1", -1},  {"1 ", -1},      {"1.5", -1},     {"x", -1},        {"1x", -1},
    {"0x1", -1}, {"/", -1},       {":", -1},       {"\xD9\xA1", -1}, /* an Arabic-Indic digit */
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    assert_int_equal(rl_slice_number(rl_slice(cases[i].text)), cases[i].number);
  }
}

/* UTF-8 read by arithmetic (RFC 3629 section 3), not by a table of byte ranges: the code point's
   bits, then the three things that are forbidden. Returns the bytes of a good character, or 0. */
static size_t
good_character(const unsigned char *const byte, const size_t length)
{
  static const unsigned long smallest[5] = {0, 0, 0x80, 0x800, 0x10000};
  size_t                     n           = 0;
  while (n < 5 && (byte[0] & (0x80U >> n))) {
    ++n;
  }
  if (n == 1 || n > 4 || n > length) {
    return 0;
  }
  if (n == 0) {
    return 1;
  }
  unsigned long point = byte[0] & (0x7FU >> n);
  for (size_t i = 1; i < n; ++i) {
    if (byte[i] / 64 != 2) {
      return 0;
    }
    point = point * 64 + byte[i] % 64;
  }
  const bool surrogate = point >= 0xD800 && point <= 0xDFFF;
  return point < smallest[n] || point > 0x10FFFF || surrogate ? 0 : n;
}

/* The control characters of Unicode (general category Cc): U+0000 to 1F, U+007F to 9F. */
static bool
control(const unsigned char *const byte, const size_t n)
{
  const bool c0 = n == 1 && (byte[0] < 0x20 || byte[0] == 0x7F);
  const bool c1 = n == 2 && byte[0] == 0xC2 && byte[1] < 0xA0;
  return c1 || (c0 && byte[0] != '\t' && byte[0] != '\r' && byte[0] != '\n');
}

static ptrdiff_t
bad_byte(const unsigned char *const byte, const size_t length)
{
  for (size_t at = 0; at < length;) {
    const size_t n = good_character(byte + at, length - at);
    if (!n || control(byte + at, n)) {
      return (ptrdiff_t)at;
    }
    at += n;
  }
  return -1;
}

static void
compare_bad_byte(const unsigned char *const byte, const size_t length)
{
  /* A copy of just that length, so that a sanitizer sees a read past the end. */
  char copy[8];
  memcpy(copy + 8 - length, byte, length);
  const RlSlice   slice    = {copy + 8 - length, length};
  const ptrdiff_t expected = bad_byte(byte, length);
  const ptrdiff_t found    = rl_slice_bad_byte(slice);
  if (expected != found) {
    fail_msg("%zu bytes %02X %02X %02X %02X: bad at %td, expected %td", length, byte[0],
             length > 1 ? byte[1] : 0U, length > 2 ? byte[2] : 0U, length > 3 ? byte[3] : 0U, found,
             expected);
  }
}

static void
every_string_of_one_or_two_bytes_is_judged_as_rfc_3629_says(void **state)
{
  (void)state;
  compare_bad_byte((const unsigned char *)"", 0);
  for (unsigned i = 0; i < 0x10000; ++i) {
    const unsigned char bytes[2] = {(unsigned char)(i >> 8), (unsigned char)(i & 0xFF)};
    compare_bad_byte(bytes, 2);
    compare_bad_byte(bytes, 1);
  }
}

static void
every_string_of_three_bytes_is_judged_as_rfc_3629_says(void **state)
{
  (void)state;
  for (unsigned lead = 0xC0; lead < 0x100; ++lead) {
    for (unsigned i = 0; i < 0x10000; ++i) {
      const unsigned char bytes[3] = {(unsigned char)lead, (unsigned char)(i >> 8),
                                      (unsigned char)(i & 0xFF)};
      compare_bad_byte(bytes, 3);
    }
  }
}

static void
strings_of_four_bytes_are_judged_as_rfc_3629_says(void **state)
{
  (void)state;
  static const unsigned char ends[] = {0x00, 0x7F, 0x80, 0xBF, 0xC0, 0xFF};
  for (unsigned i = 0; i < 0x1000; ++i) {
    for (size_t third = 0; third < sizeof(ends); ++third) {
      for (size_t fourth = 0; fourth < sizeof(ends); ++fourth) {
        const unsigned char bytes[4] = {(unsigned char)(0xF0 + (i >> 8)), (unsigned char)(i & 0xFF),
                                        ends[third], ends[fourth]};
        compare_bad_byte(bytes, 4);
      }
    }
  }
}

/* By hand, so that the checker above is itself checked (RFC 3629, sections 3, 4 and 10). */
static void
bad_bytes_are_found_where_they_stand(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    ptrdiff_t   at;
    const char *why;
  } cases[] = {
    {"", -1, "nothing"},
    {"| I7 | IV7 |\r\n\t", -1, "ASCII with the three controls a chart may hold"},
    {MIXED, -1, "one character of each length"},
    {"\xEF\xBF\xBF\xF4\x8F\xBF\xBF", -1, "U+FFFF and U+10FFFF, the last of their lengths"},
    {"ab\x01", 2, "a control character"},
    {"\x7F", 0, "delete"},
    {"a\x1B[0m", 1, "escape"},
    {"abc\x80", 3, "a follower with nothing to follow"},
    {"a\xC0\x80", 1, "NUL written in two bytes"},
    {"\xC1\xBF", 0, "overlong"},
    {"\xE0\x9F\xBF", 0, "overlong"},
    {"\xF0\x8F\xBF\xBF", 0, "overlong"},
    {"ab\xED\xA0\x80", 2, "a surrogate"},
    {"\xF4\x90\x80\x80", 0, "past U+10FFFF"},
    {"\xF5\x80\x80\x80", 0, "no such lead byte"},
    {"\xC3", 0, "ends inside a character"},
    {"x\xE2\x99", 1, "ends inside a character"},
    {"x\xF0\x9D\x84", 1, "ends inside a character"},
    {"\xE2\x99 ", 0, "broken off by a space"},
    {"B\xE9", 1, "Latin-1"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const RlSlice slice = rl_slice(cases[i].text);
    if (rl_slice_bad_byte(slice) != cases[i].at) {
      fail_msg("%s: bad at %td, expected %td", cases[i].why, rl_slice_bad_byte(slice), cases[i].at);
    }
    assert_int_equal(bad_byte((const unsigned char *)slice.at, slice.length), cases[i].at);
  }
  assert_int_equal(rl_slice_bad_byte((RlSlice){"a\0b", 3}), 1); /* NUL is a control character */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_text_is_cut_at_a_whole_character),
    cmocka_unit_test(a_quote_is_39_bytes_at_the_most_and_what_follows_it_stays),
    cmocka_unit_test(a_text_is_cut_at_a_whole_character_wherever_it_begins),
    cmocka_unit_test(a_text_begins_empty_and_grows),
    cmocka_unit_test(a_buffer_of_one_byte_holds_the_empty_text),
    cmocka_unit_test(whole_numbers_are_written_to_both_ends_of_their_range),
    cmocka_unit_test(whole_numbers_are_written_as_printf_writes_them),
    cmocka_unit_test(a_slice_compares_by_all_its_bytes),
    cmocka_unit_test(a_slice_loses_no_more_than_it_has),
    cmocka_unit_test(trimming_takes_spaces_and_tabs_from_both_ends_only),
    cmocka_unit_test(a_number_has_one_to_six_digits_and_nothing_else),
    cmocka_unit_test(every_string_of_one_or_two_bytes_is_judged_as_rfc_3629_says),
    cmocka_unit_test(every_string_of_three_bytes_is_judged_as_rfc_3629_says),
    cmocka_unit_test(strings_of_four_bytes_are_judged_as_rfc_3629_says),
    cmocka_unit_test(bad_bytes_are_found_where_they_stand),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
