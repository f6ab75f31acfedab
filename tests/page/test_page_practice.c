/* SPDX-License-Identifier: ISC */
/* Lines of practice as a phone gets them. What is counted: tests/core/practice. */
#include "ui/page/practice.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define LINE(when, chorus, counted)                                                                \
  when " chorus=" chorus " bars=12 tempo=72 key=7 harp=0 show=2 " counted " song=Heron\n"

static const char first[] = LINE("2026-11-29T23:59:59Z", "1",
                                 "notes=0 targets=0/9 strong=0/0 planned=0/0 bends=0 cents=0 "
                                 "spread=0 timed=0 behind_ms=0 behind_beats=0");
static const char second[] =
  LINE("2026-11-30T00:00:00Z", "2",
       "notes=20 targets=6/9 strong=9/10 planned=1/8 bends=2 cents=-30 spread=40 timed=5 "
       "behind_ms=-20 behind_beats=-0.025 roles=pass:2,third:6,root:4,fifth:4,blue:4");

static void
text_is(const char *const lines, const char *const want)
{
  char         json[RL_PAGE_PRACTICE_SIZE];
  const size_t length = rl_page_practice_write(rl_slice(lines), json);
  assert_string_equal(json, want);
  assert_int_equal(length, strlen(want));
}

static void
a_panel_has_every_chorus(void **state)
{
  char lines[2048];
  (void)state;
  snprintf(lines, sizeof(lines), "%sno line at all\n%s", first, second);
  text_is(lines, "{\"said\":\"chorus 2: landed on 6 of 9 chords\","
                 "\"days\":[\"29 Nov\",\"30 Nov\"],\"panels\":["
                 "[\"landed on the chord\",\"6 of 9\",[0,67]],"
                 "[\"chord tones on strong beats\",\"9 of 10\",[-1,90]],"
                 "[\"planned notes\",\"1 of 8\",[-1,13]],"
                 "[\"bends in tune\",\"30 cents low, \xc2\xb1"
                 "40\",[-1,0]],"
                 "[\"near the beat\",\"20 ms before\",[-1,90]],"
                 "[\"which notes\",\"20 notes\",[-1,[30,20,20,20,10]]]]}");
  text_is("", "{\"said\":\"\",\"days\":[],\"panels\":[]}");
}

static void
the_newest_are_kept(void **state)
{
  static char lines[50 * 512];
  char        json[RL_PAGE_PRACTICE_SIZE];
  size_t      used = 0;
  (void)state;
  for (int i = 1; i <= 50; ++i) {
    used +=
      (size_t)snprintf(lines + used, sizeof(lines) - used,
                       LINE("2026-11-%02dT12:00:00Z", "%d",
                            "notes=100 targets=%d/50 strong=9/9 planned=8/8 bends=2 cents=-3 "
                            "spread=4 timed=5 behind_ms=-2 behind_beats=-0.025 roles=third:100"),
                       i < 25 ? 1 : 2, i, i);
  }
  rl_page_practice_write(rl_slice(lines), json);
  assert_non_null(strstr(json, "[\"landed on the chord\",\"50 of 50\",[54,56,58,"));
  assert_non_null(strstr(json, ",98,100]]"));
  assert_non_null(strstr(json, "\"days\":[\"2 Nov\",\"2 Nov\","));
  assert_null(strstr(json, "\"1 Nov\""));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_panel_has_every_chorus),
    cmocka_unit_test(the_newest_are_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
