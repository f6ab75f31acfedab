/* SPDX-License-Identifier: ISC */
/* The document, asked as the audio thread asks it: each property, what is handed over and when, and
   what a restored session puts out of date. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "plugin/worker/session.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char plan[] = "bar 1: Heron\n\nX:1\nT:Heron\nK:G\nG4 B4|\n";

static RlDocument document;
static RlRing     ring;
static RlSnapshot now; /* the newest that was handed over */

/* ---- the audio thread's side ---- */

static void
ask_in(const unsigned session, const RlAsk what, const RlProperty property, const void *const body,
       const uint32_t size)
{
  const RlAskHead head = {what, property, size, session};
  assert_true(rl_ring_write(&ring, &head, sizeof(head), body, size));
}

static void
ask(const RlAsk what, const RlProperty property, const void *const body, const uint32_t size)
{
  ask_in(document.master.bar_one_version, what, property, body, size);
}

/* Lets the worker work. True if a snapshot was handed over: it is `now`, and goes back. */
static bool
work(void)
{
  rl_document_answer(&document, &ring);
  RlSnapshot *const snapshot = rl_outbox_pop(&document.pool.outbox);
  if (snapshot) {
    now = *snapshot;
    ask(RL_ASK_FREE, 0, &snapshot, sizeof(snapshot));
    rl_document_answer(&document, &ring);
  }
  return snapshot;
}

static bool
set(const RlProperty property, const char *const text)
{
  ask(RL_ASK_PROPERTY, property, text, (uint32_t)strlen(text));
  return work();
}

static int
open_document(void **state)
{
  (void)state;
  memset(&ring, 0, sizeof(ring));
  assert_true(rl_document_open(&document));
  assert_true(work());
  return 0;
}

static int
close_document(void **state)
{
  (void)state;
  rl_document_answer(&document, &ring);
  rl_document_close(&document);
  return 0;
}

static void
value_is(const RlProperty property, const char *const text)
{
  assert_string_equal(rl_snapshot_text(&now, property), text);
}

/* ---- each property ---- */

static void
a_new_document_has_a_twelve_bar_and_an_address(void **state)
{
  (void)state;
  assert_int_equal(now.form.bars, 12);
  value_is(RL_OSC_TO, "127.0.0.1:9911");
  value_is(RL_PLAN, "");
  value_is(RL_TAKE, "");
  value_is(RL_CHART_FILE, "");
  value_is(RL_PROBLEM, "");
}

static void
each_property_is_set_and_only_its_version_and_the_problems_change(void **state)
{
  static const struct {
    RlProperty  property;
    const char *text;
  } cases[] = {{RL_CHART, "| I7 | IV7 |\n"},
               {RL_PLAN, plan},
               {RL_TAKE, plan},
               {RL_OSC_TO, "127.0.0.1:9000 [::1]:9001"}};
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const RlSnapshot before = now;
    assert_true(set(cases[i].property, cases[i].text));
    value_is(cases[i].property, cases[i].text);
    value_is(RL_PROBLEM, "");
    for (int p = 0; p < RL_PROPERTIES; ++p) {
      const bool may = p == (int)cases[i].property || p == RL_PROBLEM;
      assert_int_equal(now.version[p] != before.version[p], may);
    }
  }
}

static void
a_chart_file_sets_the_chart_and_a_chart_forgets_the_file(void **state)
{
  char      path[] = "/tmp/reedlamp-document-XXXXXX";
  const int file   = mkstemp(path);
  (void)state;
  assert_true(file >= 0 && write(file, "| I7 |\n", 7) == 7 && !close(file));
  assert_true(set(RL_CHART_FILE, path));
  value_is(RL_CHART_FILE, path);
  value_is(RL_CHART, "| I7 |\n");
  assert_true(set(RL_CHART, "| I7 | I7 |\n"));
  value_is(RL_CHART_FILE, "");
  unlink(path);
  assert_true(set(RL_CHART_FILE, path));
  value_is(RL_CHART_FILE, "");
  value_is(RL_CHART, "| I7 | I7 |\n");
  assert_non_null(strstr(now.problem, "No such file"));
}

static void
what_cannot_be_read_changes_nothing_but_the_problem(void **state)
{
  static const RlProperty all[] = {RL_CHART, RL_PLAN, RL_TAKE, RL_TAKE_EDIT, RL_OSC_TO};
  (void)state;
  assert_true(set(RL_PLAN, plan));
  assert_true(set(RL_TAKE, plan));
  for (size_t i = 0; i < sizeof(all) / sizeof(all[0]); ++i) {
    const RlSnapshot before = now;
    assert_true(set(all[i], "\xFF"));
    assert_true(now.problem[0]);
    for (int p = 0; p < RL_PROBLEM; ++p) {
      assert_string_equal(rl_snapshot_text(&now, (RlProperty)p),
                          rl_snapshot_text(&before, (RlProperty)p));
      assert_int_equal(now.version[p], before.version[p]);
    }
  }
}

static void
the_problems_of_all_are_told_together_and_go_one_by_one(void **state)
{
  (void)state;
  assert_true(set(RL_OSC_TO, "nowhere"));
  assert_true(set(RL_CHART, "| H7 |\n"));
  assert_true(set(RL_PLAN, "bar 0: Heron\n"));
  const char *const first  = strstr(now.problem, "H7");
  const char *const second = strstr(now.problem, "; plan: line 1");
  const char *const third  = strstr(now.problem, "; osc_to: no such address \"nowhere\"");
  assert_true(first && second > first && third > second);
  assert_true(set(RL_PLAN, ""));
  assert_null(strstr(now.problem, "plan:"));
  assert_true(set(RL_CHART, "| I7 |\n"));
  assert_memory_equal(now.problem, "osc_to: no such", 15);
  assert_true(set(RL_OSC_TO, ""));
  value_is(RL_PROBLEM, "");
}

static void
refused_and_lost_values_are_named(void **state)
{
  static const struct {
    RlProperty  property;
    const char *refused, *lost;
  } cases[] = {
    {RL_CHART, "chart: not a text of up to 16384 bytes; send the chart as a String",
     "chart: too much at once, the last chart was not received; send it again"},
    {RL_CHART_FILE, "chart_file: not a path of up to 4095 bytes; send it as a Path",
     "chart_file: too much at once, the last path was not received; send it again"},
    {RL_PLAN, "plan: not a text of up to 16384 bytes; send the plan as a String",
     "plan: too much at once, the last plan was not received; send it again"},
    {RL_TAKE, "take: not a text of up to 16384 bytes; send it as a String",
     "take: too much at once, the last one was not received; send it again"},
    {RL_OSC_TO, "osc_to: not a text of up to 1023 bytes; send addresses as a String",
     "osc_to: too much at once, the last address was not received; send it again"},
    {RL_PROBLEM, "problem: can only be read", "problem: can only be read"},
  };
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    close_document(NULL);
    open_document(NULL);
    ask(RL_ASK_REFUSE, cases[i].property, NULL, 0);
    assert_true(work());
    value_is(RL_PROBLEM, cases[i].refused);
    ask(RL_ASK_LOST, cases[i].property, NULL, 0);
    assert_true(work());
    value_is(RL_PROBLEM, cases[i].lost);
  }
}

/* ---- what is handed over ---- */

static void
nothing_is_handed_over_unless_something_changed(void **state)
{
  const RlBarOne    one  = {true, RL_AXIS_BARS, 1, 4};
  const RlTakeEvent note = {.at = 1, .tempo = 120, .kind = RL_TAKE_MIDI, .bytes = {0x90, 60, 80}};
  (void)state;
  assert_false(work());
  ask(RL_ASK_BAR_ONE, 0, &one, sizeof(one)); /* the audio thread knows it already */
  assert_false(work());
  assert_true(document.master.bar_one.set);
  ask(RL_ASK_TAKE, 0, &note, sizeof(note)); /* nobody takes anything down */
  assert_false(work());
  ask(RL_ASK_HAND, 0, &document.master.hand, sizeof(RlHand));
  assert_true(work()); /* whoever asks for a hand waits for its line */
}

static void
many_requests_make_one_snapshot(void **state)
{
  (void)state;
  ask(RL_ASK_PROPERTY, RL_CHART, "| I7 |\n", 7);
  ask(RL_ASK_PROPERTY, RL_CHART, "| I7 | V7 |\n", 12);
  ask(RL_ASK_PROPERTY, RL_PLAN, plan, sizeof(plan) - 1);
  assert_true(work());
  value_is(RL_CHART, "| I7 | V7 |\n");
  value_is(RL_PLAN, plan);
  assert_false(work());
}

/* The same chart once more forgets nothing that hangs on it. */
static void
the_same_chart_again_keeps_bar_one(void **state)
{
  const RlBarOne one = {true, RL_AXIS_BARS, 1, 4};
  (void)state;
  assert_true(set(RL_CHART, "| I7 | V7 |\n"));
  ask(RL_ASK_BAR_ONE, 0, &one, sizeof(one));
  const unsigned version = now.version[RL_CHART];
  set(RL_CHART, "| I7 | V7 |\n");
  assert_int_equal(now.version[RL_CHART], version);
  assert_true(now.bar_one.set);
  set(RL_CHART, "| I7 | V7 | I7 |\n");
  assert_false(now.bar_one.set);
}

static void
the_newest_snapshot_replaces_one_that_nobody_took(void **state)
{
  (void)state;
  for (int i = 0; i < 5; ++i) {
    char to[32];
    snprintf(to, sizeof(to), "127.0.0.1:%d", 9000 + i);
    rl_document_set(&document, RL_OSC_TO, rl_slice(to));
  }
  assert_true(work());
  value_is(RL_OSC_TO, "127.0.0.1:9004");
  assert_false(work());
}

/* ---- sessions ---- */

/* What was asked before a session came no longer counts; a hand does: the ports are as they are. */
static void
what_was_asked_before_a_session_is_out_of_date(void **state)
{
  const RlSession session = {.text    = {[RL_CHART] = rl_slice("| IV7 |\n")},
                             .bar_one = {true, RL_AXIS_QUARTERS, 1, 8}};
  const unsigned  before  = document.master.bar_one_version;
  const RlBarOne  one     = {true, RL_AXIS_BARS, 1, 4};
  RlHand          hand    = document.master.hand;
  (void)state;
  rl_session_restore(&document, &session);
  assert_true(work());
  hand.harp.key = 5;
  ask_in(before, RL_ASK_PROPERTY, RL_CHART, "| I7 |\n", 7);
  ask_in(before, RL_ASK_REFUSE, RL_PLAN, NULL, 0);
  ask_in(before, RL_ASK_LOST, RL_PLAN, NULL, 0);
  ask_in(before, RL_ASK_BAR_ONE, 0, &one, sizeof(one));
  assert_false(work());
  ask_in(before, RL_ASK_HAND, 0, &hand, sizeof(hand));
  assert_true(work());
  value_is(RL_CHART, "| IV7 |\n");
  value_is(RL_PROBLEM, "");
  assert_int_equal(now.hand.harp.key, 5);
  assert_true(now.bar_one.at == 8);
  assert_int_equal(document.master.bar_one.axis, RL_AXIS_QUARTERS);
}

static void
what_a_session_does_not_say_stays(void **state)
{
  const RlSession session = {.text = {[RL_OSC_TO] = rl_slice("127.0.0.1:9")}};
  (void)state;
  assert_true(set(RL_PLAN, plan));
  assert_true(set(RL_TAKE, plan));
  rl_session_restore(&document, &session);
  assert_true(work());
  value_is(RL_OSC_TO, "127.0.0.1:9");
  value_is(RL_PLAN, plan);
  value_is(RL_TAKE, plan);
  assert_int_equal(now.form.bars, 12);
}

static void
session_is(void *const data, const RlSession *const session)
{
  const RlSession *const want = (const RlSession *)data;
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    assert_int_equal(session->text[p].at != NULL, want->text[p].at != NULL);
    if (session->text[p].at && want->text[p].at) {
      assert_string_equal(session->text[p].at, want->text[p].at);
    }
  }
}

static void
a_session_holds_what_is_set_and_what_could_not_be_read(void **state)
{
  RlSession session = {.text = {[RL_CHART]      = rl_slice("| I9999 |\n"),
                                [RL_CHART_FILE] = rl_slice("/tmp/a"),
                                [RL_PLAN]       = rl_slice("bar 0: Heron\n"),
                                [RL_TAKE]       = rl_slice("bar 1: nobody\n"),
                                [RL_OSC_TO]     = rl_slice("127.0.0.1:9"),
                                [RL_PRACTICE]   = rl_slice("")}};
  (void)state;
  rl_session_restore(&document, &session);
  assert_true(work());
  assert_int_equal(now.form.bars, 12);
  rl_session_save(&document, session_is, &session);
  assert_true(set(RL_CHART, "| I7 |\n")); /* from here on another one holds */
  session.text[RL_CHART]      = rl_slice("| I7 |\n");
  session.text[RL_CHART_FILE] = rl_slice("");
  rl_session_save(&document, session_is, &session);
}

/* ---- edits of takes, whatever is in them ---- */

static uint32_t chance_state = 20;

static uint32_t
chance(const uint32_t below)
{
  chance_state = chance_state * 1664525U + 1013904223U;
  return (chance_state >> 8) % below;
}

/* A text of edits with bytes changed, cut out and doubled: the takes stay takes, none is lost that
   was not named. */
static void
any_edit_leaves_takes_that_can_be_read(void **state)
{
  static const char *const texts[] = {
    "drop: Take 1\ntaken: 2\n", "keep: Take 2\n",
    "change: Take 1\ntaken: 2\n\nX:1\nT:Take 1\nK:G\n(3GBd !slide!e2 z4|\n",
    "add:\ntaken: 1\nbar 3 beat 2: Lantern, with the key\n\nX:1\nT:Lantern\nK:G\nB8|\n"};
  static const char takes[] = "taken: 2\nbar 1: Take 1\nbar 2: Take 2\n\nX:1\nT:Take 1\nK:G\nG8|\n"
                              "\nX:1\nT:Take 2\nK:G\nB8|\n";
  static RlPlan     read;
  static RlPhrase   phrase;
  RlPlanError       error;
  int               done = 0;
  (void)state;
  for (int i = 0; i < 20000; ++i) {
    char         edit[256];
    const char  *text = texts[chance(4)];
    const size_t size = strlen(text);
    memcpy(edit, text, size + 1);
    for (uint32_t k = chance(4); k; --k) {
      edit[chance((uint32_t)size)] = "\n: TX1a\xFF"[chance(8)];
    }
    rl_document_set(&document, RL_TAKE, rl_slice(takes));
    rl_document_set(&document, RL_TAKE_EDIT, (RlSlice){edit, size - (chance(8) ? 0 : chance(9))});
    assert_true(rl_plan_read(rl_slice(document.master.take), &phrase, &read, &error));
    const bool same = !strcmp(document.master.take, takes);
    assert_true(same || !rl_problems_words(&document.problems, RL_ABOUT_TAKE)[0]);
    assert_true(read.phrase_count >= 1 && read.phrase_count <= 3);
    done += !same;
  }
  assert_true(done > 2000);
}

int
main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, open_document, close_document)
  const struct CMUnitTest tests[] = {
    TEST(a_new_document_has_a_twelve_bar_and_an_address),
    TEST(each_property_is_set_and_only_its_version_and_the_problems_change),
    TEST(a_chart_file_sets_the_chart_and_a_chart_forgets_the_file),
    TEST(what_cannot_be_read_changes_nothing_but_the_problem),
    TEST(the_problems_of_all_are_told_together_and_go_one_by_one),
    TEST(refused_and_lost_values_are_named),
    TEST(nothing_is_handed_over_unless_something_changed),
    TEST(many_requests_make_one_snapshot),
    TEST(the_same_chart_again_keeps_bar_one),
    TEST(the_newest_snapshot_replaces_one_that_nobody_took),
    TEST(what_was_asked_before_a_session_is_out_of_date),
    TEST(what_a_session_does_not_say_stays),
    TEST(a_session_holds_what_is_set_and_what_could_not_be_read),
    TEST(any_edit_leaves_takes_that_can_be_read),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
