/* SPDX-License-Identifier: ISC */
/* Who waits for a sheet, and the child that draws: with drawings that misbehave, and a clock of the
   test's own. */
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

static RlSheetJobs copies;
static RlPageState heard;
static int         anybody; /* whose address is whose name */

/* ---- drawings ---- */

static RlSheetJobEnd
put(const int to, const char *const text)
{
  return write(to, text, strlen(text)) == (ssize_t)strlen(text) ? RL_SHEET_JOB_DONE
                                                                : RL_SHEET_JOB_FAILED;
}

/* Says which harp it was for, and what was heard. */
static RlSheetJobEnd
harp_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  char text[64];
  snprintf(text, sizeof(text), "harp %d.pdf\nsheet of %d\nand more", wish->harp.key, h->bars);
  return put(to, text);
}

static RlSheetJobEnd
never_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  (void)h;
  (void)wish;
  put(to, "half.pdf\nhal");
  poll(NULL, 0, 60000);
  return RL_SHEET_JOB_DONE;
}

static RlSheetJobEnd
crash_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  (void)h;
  (void)wish;
  put(to, "half.pdf\nhal");
  raise(SIGKILL);
  return RL_SHEET_JOB_DONE;
}

static RlSheetJobEnd
endless_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  static char much[65536];
  (void)h;
  (void)wish;
  put(to, "endless.pdf\n");
  while (write(to, much, sizeof(much)) > 0) {
  }
  return RL_SHEET_JOB_DONE;
}

static RlSheetJobEnd
nameless_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  (void)h;
  (void)wish;
  return put(to, "no name and no newline");
}

static RlSheetJobEnd
empty_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  (void)h;
  (void)wish;
  return put(to, "empty.pdf\n");
}

static RlSheetJobEnd
chart_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  (void)h;
  (void)wish;
  (void)to;
  return RL_SHEET_JOB_CHART;
}

/* What else the server has open, the child must not hold. */
static int beside[2];

static RlSheetJobEnd
holding_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  (void)h;
  (void)wish;
  put(to, "x.pdf\n");
  put(to, write(beside[1], "x", 1) < 0 ? "closed" : "open");
  return RL_SHEET_JOB_DONE;
}

/* ---- waiting ---- */

static RlSheetJobWish
wish_for(const int harp)
{
  RlSheetJobWish wish = RL_SHEET_JOB_WISH;
  wish.harp.key       = (uint8_t)harp;
  return wish;
}

static RlSheetJob *
ask(const int harp, const uint32_t from)
{
  const RlSheetJobWish wish = wish_for(harp);
  return rl_sheet_jobs_wait(&copies, &wish, from, &anybody);
}

/* Runs until one is ready, from `now` on; really waits, at most so many times. */
static RlSheetJob *
run(double *const now)
{
  for (int i = 0; i < 2000; ++i) {
    RlSheetJob *const ready = rl_sheet_jobs_run(&copies, *now);
    if (ready) {
      return ready;
    }
    struct pollfd on = {rl_sheet_jobs_descriptor(&copies), POLLIN, 0};
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
  heard.bars = 12;
  rl_sheet_jobs_init(&copies, harp_draw, &heard);
  assert_int_equal(rl_sheet_jobs_patience(&copies, now), -1);
  assert_null(rl_sheet_jobs_run(&copies, now));
  for (int harp = 0; harp < 12; ++harp) {
    assert_non_null(ask(harp, 0));
  }
  assert_int_equal(rl_sheet_jobs_patience(&copies, now), 0);
  for (int harp = 0; harp < 12; ++harp) {
    const double      before = now;
    char              name[32];
    RlSheetJob *const ready = run(&now);
    snprintf(name, sizeof(name), "harp %d.pdf", harp);
    assert_string_equal(ready->name, name);
    assert_int_equal(ready->length, strlen("sheet of 12\nand more"));
    assert_memory_equal(ready->bytes, "sheet of 12\nand more", ready->length);
    assert_true(!harp || now - before > 0.05); /* a few a second */
    rl_sheet_jobs_leave(&copies, ready);
  }
  assert_int_equal(rl_sheet_jobs_patience(&copies, now), -1);
  rl_sheet_jobs_end(&copies);
}

static void
nobody_takes_all_the_room(void **state)
{
  (void)state;
  rl_sheet_jobs_init(&copies, harp_draw, &heard);
  RlSheetJob *mine = NULL;
  for (int i = 0; i < RL_SHEET_JOBS_ADDRESS_MAX; ++i) {
    assert_non_null(mine = ask(0, 7));
  }
  assert_null(ask(0, 7));
  assert_non_null(ask(0, 8));
  rl_sheet_jobs_leave(&copies, mine);
  assert_non_null(ask(0, 7));
  for (int i = RL_SHEET_JOBS_ADDRESS_MAX + 1; i < RL_SHEET_JOBS_MAX; ++i) {
    assert_non_null(ask(0, 0)); /* this machine's own may fill it, behind a proxy for one */
  }
  assert_null(ask(0, 0));
  assert_null(ask(0, 9));
  rl_sheet_jobs_end(&copies);
  assert_non_null(ask(0, 9));
  rl_sheet_jobs_end(&copies);
}

/* However a drawing goes wrong, who asked is told, nothing is left, and the next is drawn. */
static void
a_drawing_that_goes_wrong_harms_nobody(void **state)
{
  static const struct {
    RlSheetJobDraw draw;
    RlSheetJobEnd  end;
  } wrong[] = {{crash_draw, RL_SHEET_JOB_FAILED},
               {endless_draw, RL_SHEET_JOB_FAILED},
               {nameless_draw, RL_SHEET_JOB_FAILED},
               {empty_draw, RL_SHEET_JOB_FAILED},
               {chart_draw, RL_SHEET_JOB_CHART}};
  (void)state;
  for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); ++i) {
    double now = 0;
    rl_sheet_jobs_init(&copies, wrong[i].draw, &heard);
    ask(1, 0);
    ask(2, 0);
    RlSheetJob *const ready = run(&now);
    assert_int_equal(ready->wish.harp.key, 1);
    assert_int_equal(ready->end, wrong[i].end);
    assert_null(ready->bytes);
    rl_sheet_jobs_leave(&copies, ready);
    copies.draw = harp_draw;
    assert_string_equal(run(&now)->name, "harp 2.pdf");
    rl_sheet_jobs_end(&copies);
  }
}

static void
a_drawing_that_takes_too_long_is_ended(void **state)
{
  (void)state;
  rl_sheet_jobs_init(&copies, never_draw, &heard);
  ask(1, 0);
  assert_null(rl_sheet_jobs_run(&copies, 50));
  const pid_t child = copies.child;
  assert_true(child > 0);
  assert_int_equal(kill(child, 0), 0);
  assert_null(rl_sheet_jobs_run(&copies, 59.9));
  assert_true(rl_sheet_jobs_patience(&copies, 59.9) <= 101);
  RlSheetJob *const ready = rl_sheet_jobs_run(&copies, 60.1);
  assert_non_null(ready);
  assert_int_equal(ready->end, RL_SHEET_JOB_FAILED);
  assert_int_equal(kill(child, 0), -1); /* ended, and waited for */
  rl_sheet_jobs_end(&copies);
}

static void
who_leaves_while_it_is_drawn_leaves_nothing(void **state)
{
  double now = 0;
  (void)state;
  rl_sheet_jobs_init(&copies, harp_draw, &heard);
  RlSheetJob *const gone = ask(1, 0);
  assert_null(rl_sheet_jobs_run(&copies, now));
  assert_true(copies.child > 0);
  rl_sheet_jobs_leave(&copies, gone);
  ask(2, 0);
  assert_string_equal(run(&now)->name, "harp 2.pdf");
  rl_sheet_jobs_end(&copies);
  rl_sheet_jobs_init(&copies, never_draw, &heard);
  ask(1, 0);
  rl_sheet_jobs_run(&copies, 0);
  const pid_t child = copies.child;
  rl_sheet_jobs_end(&copies);
  assert_int_equal(kill(child, 0), -1);
}

static void
the_child_holds_nothing_of_the_server(void **state)
{
  double now = 0;
  (void)state;
  assert_int_equal(pipe(beside), 0);
  rl_sheet_jobs_init(&copies, holding_draw, &heard);
  ask(1, 0);
  assert_memory_equal(run(&now)->bytes, "closed", 6);
  rl_sheet_jobs_end(&copies);
  close(beside[0]);
  close(beside[1]);
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
  RlSheetJobWish wish = RL_SHEET_JOB_WISH;
  (void)state;
  assert_false(rl_sheet_job_asked(&wish));
  for (size_t i = 0; i < sizeof(parts) / sizeof(parts[0]); ++i) {
    RlSheetJobWish one = RL_SHEET_JOB_WISH;
    assert_int_equal(rl_sheet_job_ask(&one, rl_slice(parts[i].name), rl_slice(parts[i].value)),
                     parts[i].good);
    assert_int_equal(rl_sheet_job_asked(&one), parts[i].good && !strcmp(parts[i].name, "harp"));
    if (parts[i].good) {
      assert_true(rl_sheet_job_ask(&wish, rl_slice(parts[i].name), rl_slice(parts[i].value)));
    }
  }
  assert_true(rl_sheet_job_asked(&wish));
  assert_int_equal(wish.harp.key, 11);
  assert_int_equal(wish.harp.range, -1);
  assert_int_equal(wish.harp.tuning, 5);
  assert_int_equal(wish.player.draw_bends, 1);
  assert_int_equal(wish.player.blow_bends, 0);
  assert_true(wish.player.overblows);
  assert_true(wish.letter);
  assert_false(rl_sheet_job_ask(&wish, rl_slice("harp"), rl_slice("11"))); /* once is enough */
  assert_false(rl_sheet_job_asked(&wish));
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
