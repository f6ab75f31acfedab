/* SPDX-License-Identifier: ISC */
/* The window's lesson sheets in a thread of their own, beside a window that goes on. Also built
   with every access to memory watched (tests/checks.sh threads). */
#include "ui/paper/sheet_thread.h"

#include "core/chart/chart.h"
#include "ui/paint/text.h"
#include "ui/paper/documents.h"

#include <cairo.h>
#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static RlForm          form;
static RlPlan          plan;
static RlLane          lane;
static RlLaneWorkspace workspace;
static RlSheet         sheet;
static char            home[64];

static int
home_make(void **state)
{
  (void)state;
  snprintf(home, sizeof(home), "/tmp/reedlamp-home-XXXXXX");
  assert_non_null(mkdtemp(home));
  setenv("HOME", home, 1);
  setenv("XDG_CONFIG_HOME", home, 1);
  return 0;
}

static int
home_take(void **state)
{
  DIR *const all = opendir(home);
  (void)state;
  assert_non_null(all);
  for (struct dirent *one; (one = readdir(all));) {
    char path[512];
    snprintf(path, sizeof(path), "%s/%s", home, one->d_name);
    unlink(path);
  }
  closedir(all);
  return rmdir(home);
}

/* The largest there may be: 512 bars, 128 lines, 32 choruses. */
static void
sheet_fill(const char *const title)
{
  static char  text[RL_CHART_MAX + 1];
  RlText       out = rl_text_in(text, sizeof(text));
  RlChartError chart_error;
  RlPlanError  plan_error;
  rl_text_add(&out, "title: ");
  rl_text_add(&out, title);
  rl_text_add(&out, "\nkey: Bb\nchoruses: 32\n");
  for (int bar = 0; bar < RL_BARS_MAX; ++bar) {
    rl_text_add(&out, bar % 4 == 3 ? "| V7 |\n" : "| I7 ");
  }
  assert_true(rl_chart_read(rl_slice(text), &form, &chart_error));
  out = rl_text_in(text, sizeof(text));
  for (int i = 0; i < RL_PLANNED_MAX; ++i) {
    rl_text_add(&out, "bar ");
    rl_text_add_int(&out, 4 * i + 1);
    rl_text_add(&out, ": Haul, chorus ");
    rl_text_add_int(&out, i % RL_PLAN_CHORUSES + 1);
    rl_text_add(&out, "\n");
  }
  rl_text_add(&out, "\nX:1\nT:Haul\nM:4/4\nL:1/8\nK:Bb\n\"Bb7\"B2 d2 (3fga f2|\n");
  assert_true(rl_plan_read(rl_slice(text), &workspace.phrase, &plan, &plan_error));
  sheet = (RlSheet){.form = &form, .key = form.key, .player = {3, 3, false}};
  rl_lane_make(&plan, &form, form.key, sheet.harp, sheet.player, &workspace, &lane);
  sheet.plan      = &plan;
  sheet.lane      = &lane;
  sheet.workspace = &workspace;
}

static void
said_is(const char *const said, const char *const name)
{
  char expected[256];
  snprintf(expected, sizeof(expected), "The lesson sheet is in %s/%s", home, name);
  assert_string_equal(said, expected);
}

/* Bytes of a PDF that is whole. */
static long
pdf_size(const char *const name)
{
  char path[256], end[7] = "";
  snprintf(path, sizeof(path), "%s/%s", home, name);
  FILE *const file = fopen(path, "r");
  if (!file) {
    fail_msg("there is no %s", name);
    return 0;
  }
  assert_int_equal(fseek(file, -6, SEEK_END), 0);
  assert_int_equal(fread(end, 1, 6, file), 6);
  const long size = ftell(file);
  fclose(file);
  assert_string_equal(end, "%%EOF\n");
  return size;
}

static double
now(void)
{
  struct timespec t = {0, 0};
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* A window that draws with fonts of its own. */
static void
window_draw(void)
{
  cairo_surface_t *const to = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 200, 60);
  const RlPaint          p  = {.cr = cairo_create(to), .cache = rl_text_cache()};
  rl_write(&p, (RlRect){0, 0, 200, 60}, (RlStyle){20, RL_BOLD, RL_INK_TEXT, RL_LEFT}, "B♭7 in 4");
  assert_int_equal(cairo_status(p.cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy(p.cr);
  cairo_surface_destroy(to);
}

static void
wait_for(RlSheetThread *const thread, char *const buffer, const size_t size)
{
  const struct timespec pause = {0, 1000000};
  RlText                said  = rl_text_in(buffer, size);
  for (const double from = now(); !rl_sheet_thread_ready(thread, &said);) {
    assert_true(now() < from + 300);
    window_draw();
    nanosleep(&pause, NULL);
  }
  assert_false(rl_sheet_thread_ready(thread, &said)); /* once */
}

static void
the_window_goes_on_while_the_largest_sheet_is_drawn(void **state)
{
  RlSheetThread *const thread = rl_sheet_thread_open();
  char                 said[512];
  RlText               text = rl_text_in(said, sizeof(said));
  (void)state;
  sheet_fill("Long Haul");
  assert_false(rl_sheet_thread_ready(thread, &text));
  const double from = now();
  assert_true(rl_sheet_thread_begin(thread, &sheet, &text));
  const double begun = now() - from;
  sheet_fill("Another"); /* what was asked for is drawn, not what came since */
  memset(&lane, 0xA5, sizeof(lane));
  wait_for(thread, said, sizeof(said));
  const double took = now() - from;
  said_is(said, "Long Haul.pdf");
  assert_true(pdf_size("Long Haul.pdf") > 100000);
  assert_true(begun < took / 4);
  rl_sheet_thread_close(thread);
}

static void
a_window_closed_meanwhile_leaves_a_whole_file(void **state)
{
  (void)state;
  for (int i = 0; i < 3; ++i) {
    RlSheetThread *const thread = rl_sheet_thread_open();
    char                 buffer[512];
    RlText               said = rl_text_in(buffer, sizeof(buffer));
    sheet_fill("Closed");
    assert_true(rl_sheet_thread_begin(thread, &sheet, &said));
    rl_sheet_thread_close(thread);
  }
  const long size = pdf_size("Closed.pdf");
  assert_int_equal(pdf_size("Closed 2.pdf"), size);
  assert_int_equal(pdf_size("Closed 3.pdf"), size);
}

static void
two_windows_do_not_meet(void **state)
{
  RlSheetThread *const one = rl_sheet_thread_open();
  RlSheetThread *const two = rl_sheet_thread_open();
  char                 buffer[512];
  RlText               said = rl_text_in(buffer, sizeof(buffer));
  (void)state;
  sheet_fill("Both");
  assert_true(rl_sheet_thread_begin(one, &sheet, &said));
  assert_true(rl_sheet_thread_begin(two, &sheet, &said));
  wait_for(one, buffer, sizeof(buffer));
  wait_for(two, buffer, sizeof(buffer));
  assert_int_equal(pdf_size("Both.pdf"), pdf_size("Both 2.pdf"));
  rl_sheet_thread_close(one);
  rl_sheet_thread_close(two);
  rl_sheet_thread_close(NULL);
}

static void
a_sheet_that_cannot_be_kept_is_said_when_it_is_asked_for(void **state)
{
  RlSheetThread *const thread = rl_sheet_thread_open();
  char                 buffer[512];
  RlText               said = rl_text_in(buffer, sizeof(buffer));
  (void)state;
  sheet_fill("Lost");
  setenv("HOME", "/proc/nowhere", 1);
  assert_true(rl_sheet_thread_begin(thread, &sheet, &said));
  wait_for(thread, buffer, sizeof(buffer));
  assert_string_equal(buffer,
                      "The lesson sheet cannot be written into /proc/nowhere: No such file or "
                      "directory. Make that folder writable, or name another one in "
                      "user-dirs.dirs.");
  said = rl_text_in(buffer, sizeof(buffer));
  setenv("HOME", "nowhere", 1);
  assert_false(rl_sheet_thread_begin(thread, &sheet, &said));
  assert_string_equal(buffer, "The lesson sheet has no folder: HOME is not set. Set it.");
  assert_false(rl_sheet_thread_ready(thread, &said));
  rl_sheet_thread_close(thread);
  setenv("HOME", home, 1);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_window_goes_on_while_the_largest_sheet_is_drawn),
    cmocka_unit_test(a_window_closed_meanwhile_leaves_a_whole_file),
    cmocka_unit_test(two_windows_do_not_meet),
    cmocka_unit_test(a_sheet_that_cannot_be_kept_is_said_when_it_is_asked_for),
  };
  return cmocka_run_group_tests(tests, home_make, home_take);
}
