/* SPDX-License-Identifier: ISC */
/* A chorus as a line of text: written, read again, damaged. Dates: ISO 8601, and days counted one
   by one by the rule of leap years (Gregorian calendar). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/practice/line.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int
up_to(const int most)
{
  return rand() % (most + 1);
}

static RlPracticeLine
any_line(void)
{
  RlPracticeLine l = {.when     = (int64_t)rand() * 64 % 253402300800,
                      .chorus   = up_to(9999),
                      .tempo    = up_to(400),
                      .song_key = up_to(11),
                      .harp     = up_to(11),
                      .show     = 1 + up_to(3),
                      .title    = "Löwentor = Blues, 2"};
  RlTally *const t = &l.tally;
  t->bars          = 1 + up_to(500);
  t->notes         = up_to(900);
  t->targets       = up_to(90);
  t->targets_hit   = up_to(t->targets);
  t->strong        = up_to(t->notes);
  t->strong_chord  = up_to(t->strong);
  t->planned       = up_to(60);
  t->planned_hit   = up_to(t->planned);
  t->bends         = up_to(t->notes);
  t->bend_cents    = up_to(2000) / 10.0 - 100;
  t->bend_spread   = up_to(900) / 10.0;
  t->timed         = up_to(t->notes);
  t->behind_ms     = up_to(4000) / 10.0 - 200;
  t->behind_beats  = up_to(500) / 1000.0 - 0.25;
  for (int role = 0; role < RL_ROLES; ++role) {
    t->role[role] = up_to(40) * up_to(1);
  }
  return l;
}

static const char *
written(const RlPracticeLine *const l)
{
  static char buffer[RL_PRACTICE_LINE_SIZE];
  RlText      text = rl_text_in(buffer, sizeof(buffer));
  rl_practice_line_write(l, &text);
  return buffer;
}

static void
a_line_reads_as_it_was_written(void **state)
{
  (void)state;
  for (int i = 0; i < 5000; ++i) {
    const RlPracticeLine was = any_line();
    RlPracticeLine       is;
    RlSlice              text = rl_slice(written(&was)), line;
    char                 kept[RL_PRACTICE_LINE_SIZE];
    memcpy(kept, text.at, text.length + 1);
    assert_true(rl_practice_line_next(&text, &line));
    assert_int_equal(text.length, 0);
    assert_true(rl_practice_line_read(line, &is));
    assert_int_equal(is.when, was.when);
    assert_int_equal(is.chorus, was.chorus);
    assert_memory_equal(is.tally.role, was.tally.role, sizeof(is.tally.role));
    assert_int_equal(is.tally.targets_hit, was.tally.targets_hit);
    assert_true(fabs(is.tally.behind_ms - was.tally.behind_ms) < 1e-6);
    assert_true(fabs(is.tally.bend_cents - was.tally.bend_cents) < 1e-6);
    assert_string_equal(is.title, was.title);
    assert_string_equal(written(&is), kept);
  }
}

static void
the_format_is_the_documented_one(void **state)
{
  (void)state;
  RlPracticeLine l            = {1796047512,
                                 3,
                                 72,
                                 7,
                                 0,
                                 2,
                                 {12, 41, 9, 6, 14, 20, {0}, 10, 8, 5, -12.04, 9, 30, 18.26, 0.0219},
                                 "Ferry Street Slow Drag"};
  l.tally.strong              = 20;
  l.tally.strong_chord        = 14;
  l.tally.role[RL_ROLE_THIRD] = 6;
  l.tally.role[RL_ROLE_PASS]  = 2;
  assert_string_equal(
    written(&l),
    "2026-11-30T14:05:12Z chorus=3 bars=12 tempo=72 key=7 harp=0 show=2 notes=41 targets=6/9 "
    "strong=14/20 "
    "planned=8/10 bends=5 cents=-12 spread=9 timed=30 behind_ms=18.3 behind_beats=0.022 "
    "roles=pass:2,third:6 song=Ferry Street Slow Drag\n");
}

static void
every_day_is_the_one_after_the_day_before(void **state)
{
  (void)state;
  static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  RlPracticeLine   l         = any_line();
  int64_t          days      = 0;
  for (int year = 1970; year < 2410; ++year) {
    for (int month = 0; month < 12; ++month) {
      const bool leap = month == 1 && year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
      for (int day = 1; day <= lengths[month] + leap; ++day, ++days) {
        char want[40];
        snprintf(want, sizeof(want), "%04d-%02d-%02dT23:59:59Z ", year, month + 1, day);
        l.when = days * 86400 + 86399;
        assert_memory_equal(written(&l), want, strlen(want));
      }
    }
  }
}

/* What is cut short, doubled, or out of range is no line; what is added is passed over. */
static void
a_damaged_line_is_refused(void **state)
{
  (void)state;
  static const char *const bad[] = {"",
                                    "2026-11-30T14:05:12Z",
                                    "2026-02-30T14:05:12Z",
                                    "song=Lantern",
                                    "X:1",
                                    "2026-11-30T14:05:12Z chorus=3 song=Lantern"};
  RlPracticeLine           l;
  const RlPracticeLine     whole = any_line();
  const RlSlice            text  = rl_slice(written(&whole));
  const size_t             title = strlen(whole.title) + 1;
  char                     more[RL_PRACTICE_LINE_SIZE];
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    assert_false(rl_practice_line_read(rl_slice(bad[i]), &l));
  }
  for (size_t length = 0; length < text.length - title; ++length) {
    assert_false(rl_practice_line_read((RlSlice){text.at, length}, &l));
  }
  snprintf(more, sizeof(more), "%.20s breath=9 %.*s", text.at, (int)text.length - 22, text.at + 21);
  assert_true(rl_practice_line_read(rl_slice(more), &l));
  snprintf(more, sizeof(more), "%.20s chorus=1 %.*s", text.at, (int)text.length - 22, text.at + 21);
  assert_false(rl_practice_line_read(rl_slice(more), &l));
  for (int i = 0; i < 20000;
       ++i) { /* any byte another one: read or refused, never beyond its end */
    memcpy(more, text.at, text.length - 1);
    more[(size_t)rand() % (text.length - 1)] = (char)rand();
    rl_practice_line_read((RlSlice){more, text.length - 1}, &l);
  }
}

static void
says(const RlPracticeLine *const l, const char *const want)
{
  char   buffer[RL_PRACTICE_LINE_SIZE];
  RlText text = rl_text_in(buffer, sizeof(buffer));
  rl_practice_line_say(l, &text);
  assert_string_equal(buffer, want);
}

static void
what_is_said_are_facts_and_nothing_of_what_there_was_none(void **state)
{
  (void)state;
  RlPracticeLine l = {.chorus = 3, .tally = {.notes = 1}};
  says(&l, "chorus 3: 1 note");
  l.tally = (RlTally){.notes = 41, .targets = 9, .targets_hit = 6};
  says(&l, "chorus 3: landed on 6 of 9 chords");
  l.tally.strong       = 20;
  l.tally.strong_chord = 14;
  l.tally.planned      = 10;
  l.tally.planned_hit  = 8;
  l.tally.bends        = 5;
  l.tally.bend_cents   = -12.3;
  l.tally.timed        = 30;
  l.tally.behind_ms    = 18.2;
  says(&l,
       "chorus 3: landed on 6 of 9 chords; 14 of 20 chord tones on strong beats; 8 of 10 planned "
       "notes; bends 12 cents low; 18 ms behind the beat");
  char   brief[RL_PRACTICE_LINE_SIZE];
  RlText in_one = rl_text_in(brief, sizeof(brief));
  rl_practice_line_brief(&l, &in_one);
  assert_string_equal(brief, "chorus 3: landed on 6 of 9 chords; 18 ms behind the beat");
  l.tally =
    (RlTally){.notes = 9, .targets = 2, .bends = 4, .bend_cents = 2.4, .timed = 8, .behind_ms = -4};
  says(&l, "chorus 3: landed on 0 of 2 chords; bends in tune; on the beat");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_line_reads_as_it_was_written),
    cmocka_unit_test(the_format_is_the_documented_one),
    cmocka_unit_test(every_day_is_the_one_after_the_day_before),
    cmocka_unit_test(a_damaged_line_is_refused),
    cmocka_unit_test(what_is_said_are_facts_and_nothing_of_what_there_was_none),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
