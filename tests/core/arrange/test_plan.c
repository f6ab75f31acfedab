/* SPDX-License-Identifier: ISC */
/* The plan's text: read, named where it is wrong, changed line by line. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/arrange/plan.h"

#include <string.h>

#define DOWN "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n"
#define BELL "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n"

static RlPlan   plan, other;
static RlPhrase phrase;

static void
read_plan(const char *const text, RlPlan *const to)
{
  RlPlanError error = {0};
  char        buffer[256];
  RlText      words = rl_text_in(buffer, sizeof(buffer));
  const bool  good  = rl_plan_read(rl_slice(text), &phrase, to, &error);
  if (!good) {
    rl_plan_error_write(&error, &words);
    print_error("%s\n", buffer);
  }
  assert_true(good);
}

static void
planned_is(const int n, const int bar, const int beat, const uint32_t choruses, const int which,
           const int move)
{
  const RlPlanned *const p = &plan.planned[n];
  assert_int_equal(p->bar, bar);
  assert_int_equal(p->beat, beat);
  assert_true(p->choruses == choruses);
  assert_int_equal(p->phrase, which);
  assert_int_equal(p->move, move);
}

static void
everything_a_plan_can_say_is_read(void **state)
{
  (void)state;
  read_plan("# for the second set\n"
            "bar 9: Down the Steps\n"
            "bar 10 beat 2.5: Tide Bell, with the key, choruses 2 4\n"
            "  bar 12 beat 3:Tide Bell , chorus 32 , as it is  \n"
            "answer: 3 5-6\n"
            "answer: 512\n"
            "\n" DOWN "\n" BELL,
            &plan);
  assert_int_equal(plan.planned_count, 3);
  assert_int_equal(plan.phrase_count, 2);
  planned_is(0, 9, 0, 0, 0, RL_MOVE_CHORD);
  planned_is(1, 10, 1500, 10, 1, RL_MOVE_KEY);
  planned_is(2, 12, 2000, 1U << 31U, 1, RL_MOVE_NOT);
  for (int bar = 0; bar <= RL_BARS_MAX + 1; ++bar) {
    assert_int_equal(rl_plan_answers(&plan, bar), bar == 3 || bar == 5 || bar == 6 || bar == 512);
  }
  rl_plan_phrase(&plan, 1, &phrase);
  assert_string_equal(phrase.title, "Tide Bell");
  read_plan("", &plan);
  assert_int_equal(plan.planned_count, 0);
  read_plan(BELL, &plan);
  assert_int_equal(plan.phrase_count, 1);
}

/* A title may end like an option; what it means is asked of the phrases that stand below. */
static void
a_title_that_ends_like_an_option_is_planned(void **state)
{
#define TITLED(title) "\nX:1\nT:" title "\nK:G\nG8|\n"
  (void)state;
  read_plan("bar 1: Swell, as it is\nbar 2: Swell, as it is, with the key, chorus 2\n"
            "bar 3: Swell, as it is, as it is\nbar 4: \"Swell, as it is\", chorus 3\n" TITLED(
              "Swell, as it is"),
            &plan);
  planned_is(0, 1, 0, 0, 0, RL_MOVE_CHORD);
  planned_is(1, 2, 0, 2, 0, RL_MOVE_KEY);
  planned_is(2, 3, 0, 0, 0, RL_MOVE_NOT);
  planned_is(3, 4, 0, 4, 0, RL_MOVE_CHORD);
  read_plan("bar 1: Swell, as it is\nbar 2: \"Swell, as it is\"\n" /* as ever, or in quotes */
            TITLED("Swell, as it is") TITLED("Swell"),
            &plan);
  planned_is(0, 1, 0, 0, 1, RL_MOVE_NOT);
  planned_is(1, 2, 0, 0, 0, RL_MOVE_CHORD);
  read_plan("bar 1: \"Swell\", chorus 1\n" TITLED("\"Swell\"") TITLED("Swell"), &plan);
  planned_is(0, 1, 0, 1, 0, RL_MOVE_CHORD); /* quotes of the title's own */
}

static void
marks_that_programs_put_before_a_text_are_passed_over(void **state)
{
  (void)state;
  read_plan("\xEF\xBB\xBF"
            "bar 1: Tide Bell\r\n%abc-2.1\r\n" BELL,
            &plan);
  planned_is(0, 1, 0, 0, 0, RL_MOVE_CHORD);
  read_plan("bar 1: Tide Bell\n\xEF\xBB\xBF%abc-2.1\n%%abc-charset utf-8\n" BELL, &plan);
  assert_int_equal(plan.phrase_count, 1);
  read_plan("bar 1: Tide Bell\n\xEF\xBB\xBF" BELL, &plan);
  assert_int_equal(plan.phrase_count, 1);
}

static void
two_phrases_of_one_title_are_found(void **state)
{
  (void)state;
  read_plan("bar 1: Tide Bell\n\n" DOWN "\n" BELL, &plan);
  assert_int_equal(rl_plan_twice(&plan), -1);
  read_plan("bar 1: Tide Bell\n\n" BELL "\n" DOWN "\n" BELL, &plan);
  assert_int_equal(rl_plan_twice(&plan), 2);
  planned_is(0, 1, 0, 0, 0, RL_MOVE_CHORD);
}

#define ROLLED "X:3\nT:Night Mail\nM:4/4\nL:1/8\nK:A\n~A2 {c}e2 !trill!c4|\n"
#define FULL   "X:4\nT:Long Haul\nM:4/4\nL:1/8\nK:G\nG4 B6|\n"

static void
remarks_are(const char *const text, const char *const expected)
{
  char   buffer[1024];
  RlText words = rl_text_in(buffer, sizeof(buffer));
  read_plan(text, &plan);
  rl_plan_remarks_write(&plan, &words);
  assert_string_equal(buffer, expected);
}

static void
what_a_phrase_has_no_room_for_is_said(void **state)
{
  (void)state;
  remarks_are("bar 3: Tide Bell\n\n" DOWN "\n" BELL, "");
  remarks_are("bar 3: Night Mail\n\n" BELL "\n" ROLLED,
              "Night Mail: 2 ornaments and a grace note left out");
  remarks_are("bar 3: Long Haul\n\n" FULL, /* a line of the plan, not of the tune */
              "Long Haul: the bar at line 8, column 1 does not fill its meter");
  remarks_are("bar 5: Night Mail\n\n" ROLLED "\n" ROLLED "\n" BELL "\n" FULL,
              "two phrases have the title \"Night Mail\"; the first is played; give the other a "
              "different title; Night Mail: 2 ornaments and a grace note left out; 2 more phrases "
              "have something left out");
  remarks_are(FULL "\n" ROLLED, "Long Haul: the bar at line 6, column 1 does not fill its meter; "
                                "1 more phrase has something left out");
}

static const struct {
  const char *text, *said;
} wrong[] = {
  {"bar 0: Tide Bell\n" BELL, "line 1: no such bar \"0\"; write: bar 4: and the phrase's title"},
  {"bar 513: Tide Bell\n" BELL,
   "line 1: no such bar \"513\"; write: bar 4: and the phrase's title"},
  {"\nbar x: Tide Bell\n" BELL, "line 2: no such bar \"x\"; write: bar 4: and the phrase's title"},
  {"bar 1 beat 0: Tide Bell\n" BELL,
   "line 1: no such beat \"0\"; write: bar 7 beat 2.5: and the title"},
  {"bar 1 beat 33: Tide Bell\n" BELL,
   "line 1: no such beat \"33\"; write: bar 7 beat 2.5: and the title"},
  {"bar 1 beat 1.2345: Tide Bell\n" BELL,
   "line 1: no such beat \"1.2345\"; write: bar 7 beat 2.5: and the title"},
  {"bar 1 foot 2: Tide Bell\n" BELL,
   "line 1: no such beat \"2\"; write: bar 7 beat 2.5: and the title"},
  {"bar 1:\n" BELL, "line 1: no title; write: bar 5: and the title of a phrase that stands below"},
  {"bar 1: Fog Signal\n" BELL,
   "line 1: no phrase \"Fog Signal\" stands below; put it there in ABC, from X: on"},
  {"bar 1: Tide Bell, chorus 33\n" BELL,
   "line 1: no phrase \"Tide Bell, chorus 33\" stands below; put it there in ABC, from X: on"},
  {"answer: 0\n", "line 1: no such bars \"0\"; write: answer: 3 4 7-8"},
  {"answer: 4 7-5\n", "line 1: no such bars \"7-5\"; write: answer: 3 4 7-8"},
  {"Tide Bell\n", "line 1: what is \"Tide Bell\"? A line says bar 11: and a title, or answer: and "
                  "bars; # begins a comment"},
  {"taken: many\n",
   "line 1: no such number \"many\"; write: taken: and how many takes there have been, or nothing"},
  {"taken: 65536\n", "line 1: no such number \"65536\"; write: taken: and how many takes there "
                     "have been, or nothing"},
  {"taken: 1\n\ntaken: 2\n", "line 3: taken: stands above already; take one of them out"},
  {"bar 1: \xFF\n", "line 1: this line holds a byte that is not UTF-8 text; type it again"},
};

static void
what_is_wrong_is_named(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); ++i) {
    RlPlanError error;
    char        buffer[256];
    RlText      words = rl_text_in(buffer, sizeof(buffer));
    assert_false(rl_plan_read(rl_slice(wrong[i].text), &phrase, &plan, &error));
    rl_plan_error_write(&error, &words);
    assert_string_equal(buffer, wrong[i].said);
  }
}

/* What is wrong in a phrase is named with the plan's own line. */
static void
a_wrong_phrase_is_named_where_it_stands(void **state)
{
  RlPlanError error;
  (void)state;
  assert_false(rl_plan_read(rl_slice("answer: 1\n\n" DOWN "\nX:2\nT:Bad\nK:G\nG A & B|\n"), &phrase,
                            &plan, &error));
  assert_int_equal(error.line, 13);
  assert_int_equal(error.column, 5);
}

static void
a_plan_past_its_greatest_size_is_refused(void **state)
{
  static char text[RL_PLAN_MAX + 64];
  RlPlanError error;
  RlText      many = rl_text_in(text, sizeof(text));
  (void)state;
  for (int i = 0; i <= RL_PLANNED_MAX; ++i) {
    rl_text_add(&many, "bar 1: Tide Bell\n");
  }
  assert_false(rl_plan_read(rl_slice(text), &phrase, &plan, &error));
  assert_string_equal(error.reason, "more than 128 phrases on bars; take some out");
  memset(text, '#', RL_PLAN_MAX + 1);
  assert_false(rl_plan_read((RlSlice){text, RL_PLAN_MAX + 1}, &phrase, &plan, &error));
  assert_string_equal(error.reason, "more than 16384 bytes; take phrases out");
  assert_true(rl_plan_read((RlSlice){text, RL_PLAN_MAX}, &phrase, &plan, &error));
}

/* ---- changing it ---- */

static char   changed[RL_PLAN_MAX + 1];
static RlText out;

static void
put(const char *const text, const RlPlanned p, const char *const title, const char *const tune)
{
  read_plan(text, &plan);
  out = rl_text_in(changed, sizeof(changed));
  assert_null(rl_plan_put(&plan, &p, title, rl_slice(tune), &out));
  read_plan(changed, &other);
}

static void
a_phrase_is_put_on_its_bar(void **state)
{
  (void)state;
  put("", (RlPlanned){.bar = 9}, "Down the Steps", DOWN);
  assert_string_equal(changed, "bar 9: Down the Steps\n\n" DOWN);
  put("# mine\nbar 9: Down the Steps\n\n" DOWN, (RlPlanned){.bar = 10, .move = RL_MOVE_KEY},
      "Tide Bell", BELL);
  assert_string_equal(
    changed, "# mine\nbar 9: Down the Steps\nbar 10: Tide Bell, with the key\n\n" DOWN "\n" BELL);
  put("bar 9: Down the Steps\nanswer: 3\n\n" DOWN,
      (RlPlanned){.bar = 9, .beat = 1250, .choruses = 5}, "Down the Steps", DOWN);
  assert_string_equal(changed, "bar 9: Down the Steps\nanswer: 3\n"
                               "bar 9 beat 2.25: Down the Steps, choruses 1 3\n\n" DOWN);
  put("", (RlPlanned){.bar = 9, .move = RL_MOVE_KEY}, "Swell, as it is",
      "X:1\nT:Swell, as it is\nK:G\nG8|\n");
  assert_string_equal(changed, "bar 9: \"Swell, as it is\", with the key\n\n"
                               "X:1\nT:Swell, as it is\nK:G\nG8|\n");
  put("bar 9: Down the Steps\nbar 8: Down the Steps\n" DOWN,
      (RlPlanned){.bar = 9, .move = RL_MOVE_NOT}, "Down the Steps", DOWN);
  assert_string_equal(changed, "bar 8: Down the Steps\nbar 9: Down the Steps, as it is\n\n" DOWN);
}

static const char *
refusal(const RlPlanned p, const char *const title, const char *const tune)
{
  out = rl_text_in(changed, sizeof(changed));
  return rl_plan_put(&plan, &p, title, rl_slice(tune), &out);
}

/* What would not read again is not put; what takes another one's place always is. */
static void
a_full_plan_takes_no_more(void **state)
{
  static char text[RL_PLAN_MAX];
  RlText      many = rl_text_in(text, sizeof(text));
  (void)state;
  for (int i = 0; i < RL_PLANNED_MAX; ++i) {
    rl_text_add(&many, "bar ");
    rl_text_add_int(&many, i + 1);
    rl_text_add(&many, ": Tide Bell\n");
  }
  rl_text_add(&many, "\n" BELL);
  read_plan(text, &plan);
  assert_string_equal(refusal((RlPlanned){.bar = 129}, "Tide Bell", BELL),
                      "no room for more; take phrases out of the plan");
  assert_null(refusal((RlPlanned){.bar = 128, .move = RL_MOVE_NOT}, "Tide Bell", BELL));
  read_plan(changed, &other);
  many = rl_text_in(text, sizeof(text));
  for (int i = 0; i < RL_PLAN_PHRASES_MAX; ++i) {
    rl_text_add(&many, "X:1\nT:Bell ");
    rl_text_add_int(&many, i);
    rl_text_add(&many, "\nK:G\nG8|\n\n");
  }
  read_plan(text, &plan);
  assert_string_equal(refusal((RlPlanned){.bar = 1}, "Tide Bell", BELL),
                      "no room for more; take phrases out of the plan");
  assert_null(refusal((RlPlanned){.bar = 1}, "Bell 3", BELL));
  read_plan(changed, &other);
}

static void
a_bar_is_freed(void **state)
{
  (void)state;
  read_plan(
    "bar 9: Down the Steps\n# stays\nbar 9 beat 3: Down the Steps\nbar 10: Down the Steps\n" DOWN,
    &plan);
  out = rl_text_in(changed, sizeof(changed));
  rl_plan_clear_bar(&plan, 9, &out);
  assert_string_equal(changed, "# stays\nbar 10: Down the Steps\n" DOWN);
}

/* With the lines that put it on bars; what stands behind the first phrase must not become a line.
 */
static void
a_phrase_is_dropped(void **state)
{
  static const struct {
    const char *text, *left;
    int         index;
  } cases[] = {{"bar 9: Tide Bell\n# mine\nbar 1: Down the Steps\n\n" DOWN "\n" BELL,
                "# mine\nbar 1: Down the Steps\n\n" DOWN "\n", 1},
               {"bar 9: Tide Bell\n# mine\nbar 1: Down the Steps\n\n" DOWN "\n" BELL,
                "bar 9: Tide Bell\n# mine\n\n" BELL, 0},
               {"\n" BELL, "", 0},
               {BELL "\nwords between\n\n" DOWN, DOWN, 0},
               {BELL "\nwords behind\n", "", 0},
               {BELL DOWN "\nM:4/t\n", BELL "\nM:4/t\n", 1}};
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    read_plan(cases[i].text, &plan);
    out = rl_text_in(changed, sizeof(changed));
    rl_plan_drop(&plan, cases[i].index, &out);
    assert_string_equal(changed, cases[i].left);
    read_plan(changed, &other);
    assert_int_equal(other.phrase_count, plan.phrase_count - 1);
  }
}

/* How many takes there have been stands in the first line; nothing else changes. */
static void
takes_are_counted(void **state)
{
  static const struct {
    const char *text, *counted;
    int         before;
  } cases[] = {{"", "taken: 7\n", 0},
               {BELL, "taken: 7\n" BELL, 0},
               {"bar 9: Tide Bell\n" BELL, "taken: 7\nbar 9: Tide Bell\n" BELL, 0},
               {"taken: 6\nbar 9: Tide Bell\n\n" BELL, "taken: 7\nbar 9: Tide Bell\n\n" BELL, 6},
               {"# mine\n\n taken : 12\nanswer: 3", "taken: 7\n# mine\n\nanswer: 3", 12},
               {"taken: 5", "taken: 7\n", 5}};
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    read_plan(cases[i].text, &plan);
    assert_int_equal(plan.taken, cases[i].before);
    out = rl_text_in(changed, sizeof(changed));
    assert_true(rl_plan_count(&plan, 7, &out));
    assert_string_equal(changed, cases[i].counted);
    read_plan(changed, &plan);
    assert_int_equal(plan.taken, 7);
  }
  memset(changed, '#', RL_PLAN_MAX);
  changed[RL_PLAN_MAX] = '\0';
  read_plan(changed, &plan);
  out = rl_text_in(changed, sizeof(changed));
  assert_false(rl_plan_count(&plan, 7, &out));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(everything_a_plan_can_say_is_read),
    cmocka_unit_test(a_title_that_ends_like_an_option_is_planned),
    cmocka_unit_test(marks_that_programs_put_before_a_text_are_passed_over),
    cmocka_unit_test(two_phrases_of_one_title_are_found),
    cmocka_unit_test(what_a_phrase_has_no_room_for_is_said),
    cmocka_unit_test(what_is_wrong_is_named),
    cmocka_unit_test(a_wrong_phrase_is_named_where_it_stands),
    cmocka_unit_test(a_plan_past_its_greatest_size_is_refused),
    cmocka_unit_test(a_phrase_is_put_on_its_bar),
    cmocka_unit_test(a_full_plan_takes_no_more),
    cmocka_unit_test(a_bar_is_freed),
    cmocka_unit_test(a_phrase_is_dropped),
    cmocka_unit_test(takes_are_counted),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
