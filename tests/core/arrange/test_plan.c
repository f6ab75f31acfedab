/* SPDX-License-Identifier: ISC */
/* The plan's text: read, named where it is wrong, changed line by line; and the lane along a form,
   its bars and onsets, held against a search through all of them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/arrange/lane.h"

#include <math.h>
#include <string.h>

#define DOWN "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n"
#define BELL "X:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n"

static RlPlan          plan, other;
static RlPhrase        phrase;
static RlForm          form;
static RlLane          lane;
static RlLaneWorkspace room;

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

static const struct {
  const char *text, *said;
} wrong[] = {
  {"bar 0: Tide Bell\n" BELL, "line 1: no such bar \"0\"; write: bar 9: and the phrase's title"},
  {"bar 513: Tide Bell\n" BELL,
   "line 1: no such bar \"513\"; write: bar 9: and the phrase's title"},
  {"\nbar x: Tide Bell\n" BELL, "line 2: no such bar \"x\"; write: bar 9: and the phrase's title"},
  {"bar 1 beat 0: Tide Bell\n" BELL,
   "line 1: no such beat \"0\"; write: bar 9 beat 2.5: and the title"},
  {"bar 1 beat 33: Tide Bell\n" BELL,
   "line 1: no such beat \"33\"; write: bar 9 beat 2.5: and the title"},
  {"bar 1 beat 1.2345: Tide Bell\n" BELL,
   "line 1: no such beat \"1.2345\"; write: bar 9 beat 2.5: and the title"},
  {"bar 1 foot 2: Tide Bell\n" BELL,
   "line 1: no such beat \"2\"; write: bar 9 beat 2.5: and the title"},
  {"bar 1:\n" BELL, "line 1: no title; write: bar 9: and the title of a phrase that stands below"},
  {"bar 1: Fog Signal\n" BELL,
   "line 1: no phrase \"Fog Signal\" stands below; put it there in ABC, from X: on"},
  {"bar 1: Tide Bell, chorus 33\n" BELL,
   "line 1: no phrase \"Tide Bell, chorus 33\" stands below; put it there in ABC, from X: on"},
  {"answer: 0\n", "line 1: no such bars \"0\"; write: answer: 3 4 7-8"},
  {"answer: 4 7-5\n", "line 1: no such bars \"7-5\"; write: answer: 3 4 7-8"},
  {"Tide Bell\n", "line 1: what is \"Tide Bell\"? A line says bar 9: and a title, or answer: and "
                  "bars; # begins a comment"},
  {"taken: many\n",
   "line 1: no such number \"many\"; write: taken: and how many takes there have been, or nothing"},
  {"taken: 65536\n", "line 1: no such number \"65536\"; write: taken: and how many takes there "
                     "have been, or nothing"},
  {"taken: 1\n\ntaken: 2\n", "line 3: taken: stands above already; take one of them out"},
  {"bar 1: \xFF\n", "line 1: a byte that is no UTF-8 text; type the line again"},
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
               {BELL "\nwords behind\n", "", 0}};
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

/* ---- along the form ---- */

static void
form_read(const char *const chart)
{
  RlChartError error;
  assert_true(rl_chart_read(rl_slice(chart), &form, &error));
}

/* Every onset of the song, by going through all choruses and notes; the next one after `from`. */
static int
searched(const double from, const int index, const int chorus, double *const at)
{
  int          best = -1, best_chorus = 0;
  const double whole = form.starts[RL_AXIS_QUARTERS][form.bars] * RL_TICKS;
  for (int c = 1; c <= (form.choruses ? form.choruses : 6); ++c) {
    for (int i = 0; i < lane.notes; ++i) {
      const RlLaneNote *const n     = &lane.note[i];
      const double            t     = n->at + (c - 1) * whole;
      const bool              plays = n->ending ? c == form.choruses : rl_lane_plays(n, c);
      const bool behind = t > from || (t == from && (c > chorus || (c == chorus && i > index)));
      const bool nearer =
        best < 0 || t < *at || (t == *at && (c < best_chorus || (c == best_chorus && i < best)));
      if (plays && behind && nearer) {
        best        = i;
        best_chorus = c;
        *at         = t;
      }
    }
  }
  return best;
}

static void
onsets_come_in_order_each_once(void **state)
{
  static const char *const charts[] = {"key: G\n| I7 | IV7 | V7 | I7 |\n",
                                       "key: G\nlead-in: 1 from 4\nchoruses: 3\n| I7 | 3/4 IV7 | "
                                       "V7 | 6/8 I7 |\n[ending]\n| I7 | V7 |\n"};
  (void)state;
  for (int c = 0; c < 2; ++c) {
    form_read(charts[c]);
    read_plan("bar 1: Tide Bell\nbar 2: Down the Steps\nbar 3: Down the Steps, chorus 2\n"
              "bar 4: Tide Bell, as it is, choruses 1 3\nbar 5: Tide Bell\n\n" DOWN "\n" BELL,
              &plan);
    rl_lane_make(&plan, &form, form.key, (RlHarpChoice){0, 0, RL_RICHTER}, (RlPlayer){3, 3, false},
                 &room, &lane);
    assert_int_equal(lane.left_over, c ? 0 : 1);
    RlLaneOnset n  = rl_lane_first(&lane, &form, -1e9);
    double      at = 0, from = -1e9;
    int         index = -1, chorus = 0;
    for (int i = 0; i < 60; ++i) {
      const int wanted = searched(from, index, chorus, &at);
      if (n.index < 0 && wanted < 0) {
        break;
      }
      assert_int_equal(n.index, wanted);
      assert_true(n.at == at);
      from   = n.at;
      index  = n.index;
      chorus = n.chorus;
      n      = rl_lane_next(&lane, &form, n);
    }
  }
}

/* Notes of phrase `planned` that play in a chorus. */
static int
playing(const int planned, const int chorus)
{
  int n = 0;
  for (int i = 0; i < lane.notes; ++i) {
    n += lane.note[i].planned == planned && rl_lane_plays(&lane.note[i], chorus);
  }
  return n;
}

/* Where phrases overlap the one that begins later takes the place of the other, in the choruses in
   which it plays: of Down the Steps (6 notes, three before beat 2.5) the rest is silent. */
static void
a_phrase_that_begins_takes_the_place_of_another(void **state)
{
  (void)state;
  form_read("key: G\n| I7 | IV7 | V7 | I7 |\n");
  read_plan("bar 2: Down the Steps\nbar 2 beat 3.5: Tide Bell, chorus 2\n\n" DOWN "\n" BELL, &plan);
  rl_lane_make(&plan, &form, form.key, (RlHarpChoice){0, 0, RL_RICHTER}, (RlPlayer){3, 3, false},
               &room, &lane);
  assert_int_equal(playing(0, 1), 6);
  assert_int_equal(playing(0, 2), 3); /* Tide Bell's pickup begins on beat 2.5 */
  assert_int_equal(playing(1, 1), 0);
  assert_int_equal(playing(1, 2), 4);
  read_plan("bar 2: Down the Steps\nbar 2 beat 3.5: Tide Bell\n\n" DOWN "\n" BELL, &plan);
  rl_lane_make(&plan, &form, form.key, (RlHarpChoice){0, 0, RL_RICHTER}, (RlPlayer){3, 3, false},
               &room, &lane);
  assert_int_equal(lane.notes, 7);
  for (int i = 1; i < lane.notes; ++i) {
    assert_true(lane.note[i - 1].at + lane.note[i - 1].lasts <= lane.note[i].at);
  }
}

/* Bars in a row: their places and lengths, from the lead-in to the end. */
static void
bars_follow_each_other(void **state)
{
  RlLaneBar bars[12];
  (void)state;
  form_read("key: G\nlead-in: 1\nchoruses: 2\n| I7 | 3/4 IV7 |\n[ending]\n| 6/8 V7 |\n");
  const RlPlace lead = rl_form_locate(&form, RL_AXIS_QUARTERS, -4, 0);
  assert_int_equal(rl_lane_bars(&form, &lead, 12, bars), 6);
  static const int numbers[] = {-1, 1, 2, 1, 2, 3};
  for (int i = 0; i < 6; ++i) {
    assert_int_equal(bars[i].place.bar, numbers[i]);
    assert_true(!i || bars[i].from == bars[i - 1].to);
  }
  const RlPlace nowhere = {.part = RL_PART_NOWHERE, .index = -1};
  assert_int_equal(rl_lane_bars(&form, &nowhere, 3, bars), 3);
  assert_int_equal(bars[0].place.bar, 1);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(everything_a_plan_can_say_is_read),
    cmocka_unit_test(what_is_wrong_is_named),
    cmocka_unit_test(a_wrong_phrase_is_named_where_it_stands),
    cmocka_unit_test(a_plan_past_its_greatest_size_is_refused),
    cmocka_unit_test(a_phrase_is_put_on_its_bar),
    cmocka_unit_test(a_full_plan_takes_no_more),
    cmocka_unit_test(a_bar_is_freed),
    cmocka_unit_test(a_phrase_is_dropped),
    cmocka_unit_test(takes_are_counted),
    cmocka_unit_test(onsets_come_in_order_each_once),
    cmocka_unit_test(a_phrase_that_begins_takes_the_place_of_another),
    cmocka_unit_test(bars_follow_each_other),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
