/* SPDX-License-Identifier: ISC */
/* Charts in files: what a folder holds, how one is saved and what is refused, and the recent ones.
 */
#define _DEFAULT_SOURCE
#include "scratch.h"

#include "ui/files/chart_list.h"
#include "ui/files/chart_open.h"
#include "ui/files/chart_save.h"
#include "ui/files/chart_scan.h"
#include "ui/files/recent_charts.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

/* Nothing but these many names is in the folder: no half-written file. */
static void
names_are(const int count)
{
  char command[128];
  snprintf(command, sizeof(command), "test $(ls -A %s | wc -l) -eq %d", root, count);
  assert_int_equal(system(command), 0);
}

static void
wait_for(const RlBackground *const background)
{
  for (int i = 0; i < 2000 && !rl_background_done(background); ++i) {
    nanosleep(&(struct timespec){0, 5000000}, NULL);
  }
  assert_true(rl_background_done(background));
}

static const char waltz[] = "title: Waltz of the Empty Ferry\nkey: F\nmeter: 3/4\nfeel: waltz\n"
                            "| I | V7 | I |\n";
static const char slow[]  = "title: slow tide\nkey: Bb\nmeter: 12/8\n| I7 |\n";

/* ---- listing ---- */

static void
a_folder_is_listed_with_what_is_in_it(void **state)
{
  RlChartScan *scan;
  (void)state;
  root_empty();
  write_file("b.chart", waltz);
  write_file("a.CHART", slow);
  write_file("broken.chart", "title: Broken\n| I7 | H7 |\n");
  write_file("latin.chart", "title: Caf\xE9\n| I7 |\n");
  write_file("notes.txt", "not a chart\n");
  write_file(".hidden.chart", waltz);
  assert_int_equal(mkdir(in("set two"), 0777), 0);
  assert_int_equal(mkfifo(in("pipe.chart"), 0666), 0);
  RlBackground *const b = rl_chart_scan_begin(root, &scan);
  assert_non_null(b);
  wait_for(b);
  static const struct {
    RlEntryKind kind;
    const char *label, *about;
  } are[] = {
    {RL_ENTRY_PARENT, "..", ""},
    {RL_ENTRY_FOLDER, "set two", ""},
    {RL_ENTRY_WRONG, "broken.chart",
     "line 2, bar 2: no such chord \"H7\"; letters run A to G, degrees I to VII"},
    {RL_ENTRY_WRONG, "latin.chart", NULL},
    {RL_ENTRY_WRONG, "pipe.chart", "not a regular file; choose a text file with a chart"},
    {RL_ENTRY_CHART, "slow tide", "1 bar in Bb, 12/8"},
    {RL_ENTRY_CHART, "Waltz of the Empty Ferry", "3 bars in F, 3/4, waltz"},
  };
  assert_int_equal(scan->list.count, 7);
  for (int i = 0; i < 7; ++i) {
    assert_int_equal(scan->list.entry[i].kind, are[i].kind);
    assert_string_equal(scan->list.entry[i].label, are[i].label);
    if (are[i].about) {
      assert_string_equal(scan->list.entry[i].about, are[i].about);
    } else {
      assert_non_null(strstr(scan->list.entry[i].about, "line 1"));
    }
  }
  rl_background_end(b);
}

static void
a_file_that_is_named_is_listed_whatever_it_is_called(void **state)
{
  RlChartScan *scan;
  (void)state;
  root_empty();
  write_file("notes.txt", waltz);
  RlBackground *const b = rl_chart_scan_begin(in("notes.txt"), &scan);
  wait_for(b);
  assert_string_equal(scan->folder, root);
  assert_string_equal(scan->chosen, in("notes.txt"));
  assert_int_equal(scan->list.count, 2);
  assert_int_equal(scan->list.entry[1].kind, RL_ENTRY_CHART);
  rl_background_end(b);
}

static void
a_folder_that_is_not_there_is_said_to_be(void **state)
{
  RlChartScan *scan;
  (void)state;
  root_empty();
  RlBackground *const b = rl_chart_scan_begin(in("nowhere"), &scan);
  wait_for(b);
  assert_non_null(strstr(scan->list.problem, "nowhere: not found"));
  assert_int_equal(scan->list.count, 1); /* the folder above: the way out */
  rl_background_end(b);
}

/* ---- saving ---- */

static RlChartSave *
save_of(const char *const name, const char *const text, const char *const expected)
{
  static RlChartSave save;
  memset(&save, 0, sizeof(save));
  snprintf(save.path, sizeof(save.path), "%s", in(name));
  save.text.length = strlen(text);
  memcpy(save.text.text, text, strlen(text) + 1);
  if (expected) {
    save.expects         = true;
    save.expected.length = strlen(expected);
    memcpy(save.expected.text, expected, strlen(expected) + 1);
  }
  return &save;
}

static RlSaved
saved(RlChartSave *const save)
{
  rl_chart_save(save);
  return save->saved;
}

static const char changed[] =
  "title: Waltz of the Empty Ferry\nkey: F\nmeter: 3/4\n| I | IV7 | I |\n";

static void
a_chart_is_saved_as_it_was_typed(void **state)
{
  static const char odd[] = "\xEF\xBB\xBFtitle: Odd\r\n| I7 |  % |\r\n\n\n# end";
  (void)state;
  root_empty();
  RlChartSave *const save = save_of("new/deep/odd.chart", odd, NULL);
  assert_int_equal(saved(save), RL_SAVE_FAILED);
  assert_string_equal(save->why, "its folder is not there; save it in another one");
  save->makes_folder = true;
  assert_int_equal(saved(save), RL_SAVE_DONE);
  file_is("new/deep/odd.chart", odd);
}

static void
nothing_is_written_over_unseen(void **state)
{
  (void)state;
  root_empty();
  write_file("w.chart", waltz);
  assert_int_equal(saved(save_of("w.chart", changed, NULL)), RL_SAVE_THERE);
  assert_int_equal(saved(save_of("w.chart", changed, slow)), RL_SAVE_CHANGED);
  assert_int_equal(saved(save_of("w.chart", slow, waltz)), RL_SAVE_OTHER);
  assert_int_equal(saved(save_of("gone.chart", changed, waltz)), RL_SAVE_GONE);
  file_is("w.chart", waltz);
  assert_int_equal(saved(save_of("w.chart", changed, waltz)), RL_SAVE_DONE);
  file_is("w.chart", changed);
  RlChartSave *const over = save_of("w.chart", slow, changed);
  over->other_titles      = true;
  assert_int_equal(saved(over), RL_SAVE_DONE);
  file_is("w.chart", slow);
  names_are(1);
}

static void
mode_owner_and_links_stay(void **state)
{
  struct stat is;
  const bool  root_user = geteuid() == 0;
  (void)state;
  root_empty();
  write_file("w.chart", waltz);
  chmod(in("w.chart"), 0640);
  if (root_user) {
    assert_int_equal(chown(in("w.chart"), 1234, 4321), 0);
  }
  char target[RL_PATH_SIZE];
  snprintf(target, sizeof(target), "%s", in("w.chart"));
  assert_int_equal(symlink(target, in("link.chart")), 0);
  assert_int_equal(saved(save_of("link.chart", changed, waltz)), RL_SAVE_DONE);
  file_is("w.chart", changed);
  assert_int_equal(lstat(in("link.chart"), &is), 0);
  assert_true(S_ISLNK(is.st_mode));
  assert_int_equal(stat(in("w.chart"), &is), 0);
  assert_int_equal(is.st_mode & 07777, 0640);
  if (root_user) {
    assert_int_equal(is.st_uid, 1234);
    assert_int_equal(is.st_gid, 4321);
  }
}

static void
failed_with(RlChartSave *const save, const char *const words)
{
  assert_int_equal(saved(save), RL_SAVE_FAILED);
  assert_non_null(strstr(save->why, words));
}

static void
what_cannot_be_written_is_said(void **state)
{
  char name[400];
  (void)state;
  root_empty();
  write_file("w.chart", waltz);
  chmod(in("w.chart"), 0444);
  failed_with(save_of("w.chart", changed, waltz), "can only be read");
  assert_int_equal(mkdir(in("folder.chart"), 0777), 0);
  failed_with(save_of("folder.chart", changed, NULL), "it is a folder");
  assert_int_equal(mkfifo(in("pipe.chart"), 0666), 0);
  failed_with(save_of("pipe.chart", changed, NULL), "not a regular file");
  memset(name, 'n', sizeof(name));
  name[sizeof(name) - 1] = '\0';
  failed_with(save_of(name, changed, NULL), "too long");
  failed_with(save_of("w.chart/x.chart", changed, NULL), "");
  RlChartSave *const preset = save_of("new.chart", changed, NULL);
  snprintf(preset->presets, sizeof(preset->presets), "%s", root);
  failed_with(preset, "comes along with Reedlamp");
  file_is("w.chart", waltz);
  names_are(3);
}

/* Of somebody else's file we would make our own. As root everything may be given away: the test is
   for others, in a child. */
static void
a_file_of_somebody_else_stays_theirs(void **state)
{
  (void)state;
  if (geteuid() != 0) {
    skip();
  }
  root_empty();
  write_file("w.chart", waltz);
  chmod(in("w.chart"), 0666);
  chmod(root, 0777);
  const pid_t child = fork();
  if (child == 0) {
    if (setgid(4321) || setuid(1234)) {
      _exit(2);
    }
    RlChartSave *const save = save_of("w.chart", changed, waltz);
    _exit(saved(save) == RL_SAVE_FAILED && strstr(save->why, "somebody else") ? 0 : 1);
  }
  int status = 1;
  assert_int_equal(waitpid(child, &status, 0), child);
  assert_int_equal(status, 0);
  file_is("w.chart", waltz);
  names_are(1);
}

/* A file may not grow past 20 bytes, as on a full disk: the thread that saves has all signals
   blocked, so that the limit is an error of write(). */
static void
a_full_disk_loses_nothing(void **state)
{
  struct rlimit before, small;
  sigset_t      all, old;
  (void)state;
  root_empty();
  write_file("w.chart", waltz);
  sigfillset(&all);
  sigprocmask(SIG_SETMASK, &all, &old);
  assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
  small          = before;
  small.rlim_cur = 20;
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
  RlChartSave *const save = save_of("w.chart", changed, waltz);
  const RlSaved      how  = saved(save);
  setrlimit(RLIMIT_FSIZE, &before);
  sigtimedwait(&all, NULL, &(struct timespec){0, 0});
  sigprocmask(SIG_SETMASK, &old, NULL);
  assert_int_equal(how, RL_SAVE_FAILED);
  assert_non_null(strstr(save->why, "the disk is full"));
  file_is("w.chart", waltz);
  names_are(1);
}

/* ---- recent charts ---- */

static void
ten_recent_charts_are_known_the_newest_first(void **state)
{
  char        path[RL_PATH_SIZE], folder[RL_PATH_SIZE];
  RlChartList list = {0};
  (void)state;
  root_empty();
  snprintf(folder, sizeof(folder), "%s", in("state/reedlamp"));
  for (int i = 0; i < 13; ++i) {
    snprintf(path, sizeof(path), "/songs/%d.chart", i % 12);
    assert_int_equal(rl_recent_charts_add(folder, path), 0);
  }
  assert_int_not_equal(rl_recent_charts_add(folder, "/a\nb.chart"), 0);
  rl_recent_charts_read(folder, &list);
  assert_string_equal(list.problem, "");
  assert_int_equal(list.count, RL_RECENT_CHARTS);
  assert_string_equal(list.entry[0].path, "/songs/0.chart");
  assert_string_equal(list.entry[1].path, "/songs/11.chart");
  assert_string_equal(list.entry[9].path, "/songs/3.chart");
  rl_chart_list_free(&list);
}

static void
recent_charts_that_are_gone_are_shown_as_gone(void **state)
{
  RlChartScan *scan;
  (void)state;
  root_empty();
  write_file("here.chart", waltz);
  assert_int_equal(rl_recent_charts_add(root, "/nowhere/gone.chart"), 0);
  assert_int_equal(rl_recent_charts_add(root, in("here.chart")), 0);
  RlBackground *const b = rl_chart_scan_recent(root, &scan);
  wait_for(b);
  assert_int_equal(scan->list.count, 2);
  assert_int_equal(scan->list.entry[0].kind, RL_ENTRY_CHART);
  assert_int_equal(scan->list.entry[1].kind, RL_ENTRY_GONE);
  assert_string_equal(scan->list.entry[1].label, "gone.chart");
  rl_background_end(b);
}

/* Four windows add at once, two of them in processes of their own: none loses another's. */
static void
windows_do_not_lose_each_others(void **state)
{
  (void)state;
  root_empty();
  enum { WINDOWS = 5 };
  pid_t child[WINDOWS];
  for (int i = 0; i < WINDOWS; ++i) {
    child[i] = fork();
    if (child[i] == 0) {
      int failed = 0;
      for (int k = 0; k < 40; ++k) {
        char path[64];
        snprintf(path, sizeof(path), "/songs/%d-%d.chart", i, k % 2);
        failed += rl_recent_charts_add(root, path) != 0;
      }
      _exit(failed);
    }
  }
  for (int i = 0; i < WINDOWS; ++i) {
    int status = 1;
    assert_int_equal(waitpid(child[i], &status, 0), child[i]);
    assert_int_equal(status, 0);
  }
  RlChartList list = {0};
  rl_recent_charts_read(root, &list);
  assert_int_equal(list.count, 2 * WINDOWS);
  rl_chart_list_free(&list);
}

/* ---- is it kept? ---- */

static bool
kept(const char *const text, const char *const file, const char *const presets)
{
  RlChartKept *const k = (RlChartKept *)calloc(1, sizeof(RlChartKept));
  assert_non_null(k);
  k->text.length = strlen(text);
  memcpy(k->text.text, text, strlen(text) + 1);
  snprintf(k->file, sizeof(k->file), "%s", file);
  snprintf(k->presets, sizeof(k->presets), "%s", presets);
  RlBackground *const b = rl_chart_kept_begin(k);
  wait_for(b);
  const bool is = k->kept;
  rl_background_end(b);
  return is;
}

static void
a_chart_is_kept_in_its_file_or_comes_along(void **state)
{
  char file[RL_PATH_SIZE];
  (void)state;
  root_empty();
  write_file("w.chart", waltz);
  snprintf(file, sizeof(file), "%s", in("w.chart"));
  assert_true(kept(waltz, file, ""));
  assert_false(kept(changed, file, ""));
  assert_false(kept(waltz, "", ""));
  assert_true(kept(waltz, "", root));
  assert_true(kept(rl_chart_default, "", ""));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_folder_is_listed_with_what_is_in_it),
    cmocka_unit_test(a_file_that_is_named_is_listed_whatever_it_is_called),
    cmocka_unit_test(a_folder_that_is_not_there_is_said_to_be),
    cmocka_unit_test(a_chart_is_saved_as_it_was_typed),
    cmocka_unit_test(nothing_is_written_over_unseen),
    cmocka_unit_test(mode_owner_and_links_stay),
    cmocka_unit_test(what_cannot_be_written_is_said),
    cmocka_unit_test(a_file_of_somebody_else_stays_theirs),
    cmocka_unit_test(a_full_disk_loses_nothing),
    cmocka_unit_test(ten_recent_charts_are_known_the_newest_first),
    cmocka_unit_test(recent_charts_that_are_gone_are_shown_as_gone),
    cmocka_unit_test(windows_do_not_lose_each_others),
    cmocka_unit_test(a_chart_is_kept_in_its_file_or_comes_along),
  };
  if (!root_make()) {
    return EXIT_FAILURE;
  }
  const int failed = cmocka_run_group_tests_name("chart files", tests, NULL, NULL);
  root_remove();
  return failed;
}
