/* SPDX-License-Identifier: ISC */
/* The table of waiting sheets and the child that draws them: with drawings that misbehave, and a
   clock of the test's own. */
#include "ui/page/sheet_jobs.h"

#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static RlSheetJobs jobs;
static RlPageState page_state;
static int         owner; /* of every job; only its address counts */

/* ---- drawings ---- */

static RlSheetJobResult
put(const int to, const char *const text)
{
  return write(to, text, strlen(text)) == (ssize_t)strlen(text) ? RL_SHEET_JOB_DONE
                                                                : RL_SHEET_JOB_FAILED;
}

/* Says which harp it was for, and what was page_state. */
static RlSheetJobResult
harp_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  char text[64];
  snprintf(text, sizeof(text), "harp %d.pdf\nsheet of %d\nand more", request->harp.key, h->bars);
  return put(to, text);
}

static RlSheetJobResult
never_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  (void)h;
  (void)request;
  put(to, "half.pdf\nhal");
  poll(NULL, 0, 60000);
  return RL_SHEET_JOB_DONE;
}

static RlSheetJobResult
crash_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  (void)h;
  (void)request;
  put(to, "half.pdf\nhal");
  raise(SIGKILL);
  return RL_SHEET_JOB_DONE;
}

static RlSheetJobResult
endless_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  static char much[65536];
  (void)h;
  (void)request;
  put(to, "endless.pdf\n");
  while (write(to, much, sizeof(much)) > 0) {
  }
  return RL_SHEET_JOB_DONE;
}

static RlSheetJobResult
nameless_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  (void)h;
  (void)request;
  return put(to, "no name and no newline");
}

static RlSheetJobResult
empty_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  (void)h;
  (void)request;
  return put(to, "empty.pdf\n");
}

static RlSheetJobResult
chart_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  (void)h;
  (void)request;
  (void)to;
  return RL_SHEET_JOB_NO_CHART;
}

/* Something else that the server has open. */
static int server_pipe[2];

static RlSheetJobResult
holding_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  (void)h;
  (void)request;
  put(to, "x.pdf\n");
  put(to, write(server_pipe[1], "x", 1) < 0 ? "closed" : "open");
  return RL_SHEET_JOB_DONE;
}

/* ---- waiting ---- */

static RlSheetRequest
wish_for(const int harp)
{
  RlSheetRequest request = RL_SHEET_REQUEST_DEFAULTS;
  request.harp.key       = (uint8_t)harp;
  return request;
}

static RlSheetJob *
ask(const int harp, const uint32_t from)
{
  const RlSheetRequest request = wish_for(harp);
  return rl_sheet_jobs_add(&jobs, &request, from, &owner);
}

/* Runs until one is ready, from `now` on; really waits, at most so many times. */
static RlSheetJob *
run(double *const now)
{
  for (int i = 0; i < 2000; ++i) {
    RlSheetJob *const ready = rl_sheet_jobs_run(&jobs, *now);
    if (ready) {
      return ready;
    }
    struct pollfd on = {rl_sheet_jobs_descriptor(&jobs), POLLIN, 0};
    poll(&on, 1, 5);
    *now += 0.005;
  }
  fail_msg("nothing became ready");
  return NULL;
}

static void
sheets_come_in_order_one_at_a_time(void **state)
{
  double now = 100;
  (void)state;
  page_state.bars = 12;
  rl_sheet_jobs_init(&jobs, harp_draw, &page_state);
  assert_int_equal(rl_sheet_jobs_timeout(&jobs, now), -1);
  assert_null(rl_sheet_jobs_run(&jobs, now));
  for (int harp = 0; harp < 12; ++harp) {
    assert_non_null(ask(harp, 0));
  }
  assert_int_equal(rl_sheet_jobs_timeout(&jobs, now), 0);
  for (int harp = 0; harp < 12; ++harp) {
    const double      before = now;
    char              name[32];
    RlSheetJob *const ready = run(&now);
    snprintf(name, sizeof(name), "harp %d.pdf", harp);
    assert_string_equal(ready->name, name);
    assert_int_equal(ready->length, strlen("sheet of 12\nand more"));
    assert_memory_equal(ready->bytes, "sheet of 12\nand more", ready->length);
    assert_true(!harp || now - before > 0.05); /* a few a second */
    rl_sheet_jobs_remove(&jobs, ready);
  }
  assert_int_equal(rl_sheet_jobs_timeout(&jobs, now), -1);
  rl_sheet_jobs_end(&jobs);
}

static void
nobody_takes_all_the_room(void **state)
{
  (void)state;
  rl_sheet_jobs_init(&jobs, harp_draw, &page_state);
  RlSheetJob *mine = NULL;
  for (int i = 0; i < RL_SHEET_JOBS_ADDRESS_MAX; ++i) {
    assert_non_null(mine = ask(0, 7));
  }
  assert_null(ask(0, 7));
  assert_non_null(ask(0, 8));
  rl_sheet_jobs_remove(&jobs, mine);
  assert_non_null(ask(0, 7));
  for (int i = RL_SHEET_JOBS_ADDRESS_MAX + 1; i < RL_SHEET_JOBS_MAX; ++i) {
    assert_non_null(ask(0, 0)); /* this machine's own may fill it, behind a proxy for one */
  }
  assert_null(ask(0, 0));
  assert_null(ask(0, 9));
  rl_sheet_jobs_end(&jobs);
  assert_non_null(ask(0, 9));
  rl_sheet_jobs_end(&jobs);
}

/* However a drawing goes wrong, who asked is told, nothing is left, and the next is drawn. */
static void
a_drawing_that_goes_wrong_harms_nobody(void **state)
{
  static const struct {
    RlSheetJobDraw   draw;
    RlSheetJobResult result;
  } wrong[] = {{crash_draw, RL_SHEET_JOB_FAILED},
               {endless_draw, RL_SHEET_JOB_FAILED},
               {nameless_draw, RL_SHEET_JOB_FAILED},
               {empty_draw, RL_SHEET_JOB_FAILED},
               {chart_draw, RL_SHEET_JOB_NO_CHART}};
  (void)state;
  for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); ++i) {
    double now = 0;
    rl_sheet_jobs_init(&jobs, wrong[i].draw, &page_state);
    ask(1, 0);
    ask(2, 0);
    RlSheetJob *const ready = run(&now);
    assert_int_equal(ready->request.harp.key, 1);
    assert_int_equal(ready->result, wrong[i].result);
    assert_null(ready->bytes);
    rl_sheet_jobs_remove(&jobs, ready);
    jobs.draw = harp_draw;
    assert_string_equal(run(&now)->name, "harp 2.pdf");
    rl_sheet_jobs_end(&jobs);
  }
}

static void
a_drawing_that_takes_too_long_is_ended(void **state)
{
  (void)state;
  rl_sheet_jobs_init(&jobs, never_draw, &page_state);
  ask(1, 0);
  assert_null(rl_sheet_jobs_run(&jobs, 50));
  const pid_t child = jobs.child;
  assert_true(child > 0);
  assert_int_equal(kill(child, 0), 0);
  assert_null(rl_sheet_jobs_run(&jobs, 59.9));
  assert_true(rl_sheet_jobs_timeout(&jobs, 59.9) <= 101);
  RlSheetJob *const ready = rl_sheet_jobs_run(&jobs, 60.1);
  assert_non_null(ready);
  assert_int_equal(ready->result, RL_SHEET_JOB_FAILED);
  assert_int_equal(kill(child, 0), -1); /* ended, and waited for */
  rl_sheet_jobs_end(&jobs);
}

static void
who_leaves_while_it_is_drawn_leaves_nothing(void **state)
{
  double now = 0;
  (void)state;
  rl_sheet_jobs_init(&jobs, harp_draw, &page_state);
  RlSheetJob *const gone = ask(1, 0);
  assert_null(rl_sheet_jobs_run(&jobs, now));
  assert_true(jobs.child > 0);
  rl_sheet_jobs_remove(&jobs, gone);
  ask(2, 0);
  assert_string_equal(run(&now)->name, "harp 2.pdf");
  rl_sheet_jobs_end(&jobs);
  rl_sheet_jobs_init(&jobs, never_draw, &page_state);
  ask(1, 0);
  rl_sheet_jobs_run(&jobs, 0);
  const pid_t child = jobs.child;
  rl_sheet_jobs_end(&jobs);
  assert_int_equal(kill(child, 0), -1);
}

static void
the_child_holds_nothing_of_the_server(void **state)
{
  double now = 0;
  (void)state;
  assert_int_equal(pipe(server_pipe), 0);
  rl_sheet_jobs_init(&jobs, holding_draw, &page_state);
  ask(1, 0);
  assert_memory_equal(run(&now)->bytes, "closed", 6);
  rl_sheet_jobs_end(&jobs);
  close(server_pipe[0]);
  close(server_pipe[1]);
}

static void
a_wish_is_taken_word_for_word(void **state)
{
  static const struct {
    const char *name, *value;
    bool        good;
  } parts[] = {{"harp", "11", true},      {"register", "-1", true},  {"tuning", "5", true},
               {"bends", "1", true},      {"blow_bends", "0", true}, {"overblows", "1", true},
               {"paper", "letter", true}, {"harp", "12", false},     {"harp", "", false},
               {"harp", "-1", false},     {"register", "2", false},  {"register", "--1", false},
               {"tuning", "6", false},    {"bends", "4", false},     {"overblows", "2", false},
               {"paper", "1", false},     {"paper", "a", false},     {"har", "1", false},
               {"harps", "1", false},     {"", "1", false}};
  RlSheetRequest request = RL_SHEET_REQUEST_DEFAULTS;
  (void)state;
  assert_false(rl_sheet_request_complete(&request));
  for (size_t i = 0; i < sizeof(parts) / sizeof(parts[0]); ++i) {
    RlSheetRequest one = RL_SHEET_REQUEST_DEFAULTS;
    assert_int_equal(rl_sheet_request_set(&one, rl_slice(parts[i].name), rl_slice(parts[i].value)),
                     parts[i].good);
    assert_int_equal(rl_sheet_request_complete(&one),
                     parts[i].good && !strcmp(parts[i].name, "harp"));
    if (parts[i].good) {
      assert_true(
        rl_sheet_request_set(&request, rl_slice(parts[i].name), rl_slice(parts[i].value)));
    }
  }
  assert_true(rl_sheet_request_complete(&request));
  assert_int_equal(request.harp.key, 11);
  assert_int_equal(request.harp.range, -1);
  assert_int_equal(request.harp.tuning, 5);
  assert_int_equal(request.player.draw_bends, 1);
  assert_int_equal(request.player.blow_bends, 0);
  assert_true(request.player.overblows);
  assert_true(request.letter);
  assert_false(
    rl_sheet_request_set(&request, rl_slice("harp"), rl_slice("11"))); /* once is enough */
  assert_false(rl_sheet_request_complete(&request));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(sheets_come_in_order_one_at_a_time),
    cmocka_unit_test(nobody_takes_all_the_room),
    cmocka_unit_test(a_drawing_that_goes_wrong_harms_nobody),
    cmocka_unit_test(a_drawing_that_takes_too_long_is_ended),
    cmocka_unit_test(who_leaves_while_it_is_drawn_leaves_nothing),
    cmocka_unit_test(the_child_holds_nothing_of_the_server),
    cmocka_unit_test(a_wish_is_taken_word_for_word),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
