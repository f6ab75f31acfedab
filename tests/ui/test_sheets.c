/* SPDX-License-Identifier: ISC */
/* Lesson sheets from the window: who makes them, where they lie, what is said. */
#include "hands.h"
#include "ui/controller/controller.h"
#ifdef RL_SHEET
#include "ui/paper/documents.h"
#include "ui/paper/sheet_thread.h"
#endif

#include <dirent.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

/* ---- lesson sheets ---- */

static void
without_anybody_who_makes_sheets_there_is_no_button(void **state)
{
  (void)state;
  open_controller(NULL);
  for (int screen = RL_SCREEN_PLAY; screen <= RL_SCREEN_PHRASES; ++screen) {
    const char keys[] = {'e', 's', 'g', 'h', 'p'};
    key(keys[screen]);
    assert_true(spot_of(RL_ACTION_SHEET, 0) < 0);
    key(RL_KEY_ESCAPE);
  }
  key('l');
  assert_string_equal(rl_controller_view(host.controller)->notice, "");
  close_controller();
}

static void
a_sheet_is_made_of_what_is_in_force(void **state)
{
  (void)state;
  open_controller(NULL);
  Maker maker = {0};
  maker_set(&maker);
  rl_controller_hear_port(host.controller, RL_PORT_HARP_KEY, 5);
  rl_controller_hear_port(host.controller, RL_PORT_HARP_REGISTER, 1);
  rl_controller_hear_port(host.controller, RL_PORT_TUNING, 2);
  rl_controller_hear_port(host.controller, RL_PORT_BEND_DEPTH, 1);
  rl_controller_hear_port(host.controller, RL_PORT_SONG_KEY, 9);
  key('l');
  assert_int_equal(maker.asked, 1);
  assert_ptr_equal(maker.sheet.form, rl_controller_view(host.controller)->form);
  assert_null(maker.sheet.plan);
  assert_int_equal(maker.sheet.harp.key, 5);
  assert_int_equal(maker.sheet.harp.range, 1);
  assert_int_equal(maker.sheet.harp.tuning, 2);
  assert_int_equal(maker.sheet.player.draw_bends, 1);
  assert_int_equal(rl_spelling_class(maker.sheet.key.tonic), 9);
  assert_string_equal(rl_controller_view(host.controller)->notice, "It lies in ??, a folder.");
  rl_controller_hear_text(host.controller, RL_PLAN,
                          "bar 2: a\n\nX:1\nT:a\nM:4/4\nL:1/4\nK:G\nGABd|\n");
  key('l');
  assert_ptr_equal(maker.sheet.plan, rl_controller_view(host.controller)->plan);
  assert_ptr_equal(maker.sheet.lane, rl_controller_view(host.controller)->lane);
  assert_non_null(maker.sheet.workspace);
  close_controller();
}

/* By mouse and by keyboard, in the shapes that have the button on different screens. */
static void
the_button_stands_in_every_shape(void **state)
{
  static const struct {
    int          width, height;
    RlActionKind screen;
  } shapes[] = {
    {1280, 720, RL_ACTION_PHRASES}, {480, 320, RL_ACTION_SETTINGS}, {360, 740, RL_ACTION_SETTINGS}};
  (void)state;
  for (int i = 0; i < 3 * WAYS; ++i) {
    Maker maker = {0};
    open_controller(NULL);
    maker_set(&maker);
    host.width  = shapes[i / WAYS].width;
    host.height = shapes[i / WAYS].height;
    look();
    ways[i % WAYS](shapes[i / WAYS].screen, 0);
    ways[i % WAYS](RL_ACTION_SHEET, 0);
    assert_int_equal(maker.asked, 1);
    assert_true(rl_controller_view(host.controller)->notice[0]);
    close_controller();
  }
}

static void
a_notice_goes_with_the_next_click_or_key(void **state)
{
  (void)state;
  Maker maker = {0};
  open_controller(NULL);
  maker_set(&maker);
  const RlView *const v = rl_controller_view(host.controller);
  click(RL_ACTION_PHRASES, 0);
  walk_and_enter(RL_ACTION_SHEET, 0);
  key(RL_KEY_ENTER); /* it is read: no second one */
  assert_string_equal(v->notice, "");
  assert_int_equal(maker.asked, 1);
  key('l');
  key(RL_KEY_ESCAPE); /* the screen stays */
  assert_string_equal(v->notice, "");
  assert_int_equal(v->screen, RL_SCREEN_PHRASES);
  key('l');
  rl_layout_make(&layout, v, host.width, host.height);
  const RlRect at = layout.notice;
  assert_true(at.w > 0);
  rl_controller_input(host.controller,
                      &(RlInput){.kind = RL_INPUT_PRESS,
                                 .x    = (at.x + at.w / 2) * layout.unit,
                                 .y    = (at.y + at.h / 2) * layout.unit},
                      host.now);
  look();
  assert_string_equal(v->notice, "");
  key('l');
  rl_controller_input(host.controller, &(RlInput){.kind = RL_INPUT_MOVE, .x = 1, .y = 1}, host.now);
  assert_true(v->notice[0]);
  click(RL_ACTION_PHRASES, 0); /* does what it does besides */
  assert_string_equal(v->notice, "");
  assert_int_equal(v->screen, RL_SCREEN_PLAY);
  close_controller();
}

/* How many parts of the picture must be drawn again. */
static int
parts_stale(void)
{
  RlRect damage[RL_DAMAGE_MAX];
  return rl_controller_changed(host.controller, host.now, host.width, host.height, damage);
}

static void
while_a_sheet_is_drawn_the_button_says_so_and_another_is_refused(void **state)
{
  Maker maker = {.slow = true};
  (void)state;
  open_controller(NULL);
  maker_set(&maker);
  const RlView *const v = rl_controller_view(host.controller);
  click(RL_ACTION_PHRASES, 0);
  key('l');
  assert_true(v->drawing_sheet);
  assert_string_equal(v->notice, "");
  assert_int_equal(parts_stale(), 0);
  click(RL_ACTION_SHEET, 0);
  assert_int_equal(maker.asked, 1);
  assert_string_equal(v->notice,
                      "A lesson sheet is being drawn already. Wait until this window says "
                      "where it is.");
  key(RL_KEY_ESCAPE);
  maker.slow = false;
  assert_int_equal(parts_stale(), 1); /* all of it: button and notice */
  assert_false(v->drawing_sheet);
  assert_string_equal(v->notice, "It lies in ??, a folder.");
  key('l');
  assert_int_equal(maker.asked, 2);
  close_controller();
}

static void
without_a_chart_it_is_said_what_to_do(void **state)
{
  const RlControllerPlugin plugin = {&host, set_port, set_text};
  Maker                    maker  = {0};
  (void)state;
  open_controller(NULL);
  close_controller();
  host.controller = rl_controller_new(&plugin, 1, NULL);
  maker_set(&maker);
  look();
  key('l');
  assert_int_equal(maker.asked, 0);
  assert_non_null(strstr(rl_controller_view(host.controller)->notice, "no chart yet"));
  close_controller();
}

#ifdef RL_SHEET

static char home[64], documents[128];

/* A home folder of the test's own, whose documents lie in `Pa"pers`. */
static void
home_make(void)
{
  char path[160];
  snprintf(home, sizeof(home), "/tmp/reedlamp-home-XXXXXX");
  assert_non_null(mkdtemp(home));
  snprintf(documents, sizeof(documents), "%s/Pa\"pers", home);
  assert_int_equal(mkdir(documents, 0777), 0);
  snprintf(path, sizeof(path), "%s/user-dirs.dirs", home);
  FILE *const file = fopen(path, "w");
  assert_non_null(file);
  fputs("# written by xdg-user-dirs-update\nXDG_MUSIC_DIR=\"$HOME/M\"\n"
        "XDG_DOCUMENTS_DIR=\"$HOME/Pa\\\"pers\"\n",
        file);
  fclose(file);
  setenv("HOME", home, 1);
  setenv("XDG_CONFIG_HOME", home, 1);
  setenv("LC_ALL", "", 1);
  setenv("LC_PAPER", "", 1);
  setenv("LANG", "C.UTF-8", 1);
}

/* How many files there are; removes them if asked to. */
static int
files_in(const char *const folder, const bool take)
{
  int        count = 0;
  DIR *const all   = opendir(folder);
  assert_non_null(all);
  for (struct dirent *one; (one = readdir(all));) {
    char path[512];
    if (strcmp(one->d_name, ".") != 0 && strcmp(one->d_name, "..") != 0) {
      snprintf(path, sizeof(path), "%s/%s", folder, one->d_name);
      count += !take || unlink(path) == 0;
    }
  }
  closedir(all);
  return count;
}

static void
home_take(void)
{
  files_in(documents, true);
  rmdir(documents);
  files_in(home, true);
  assert_int_equal(rmdir(home), 0);
}

/* A PDF, whole, with these bytes in it. */
static void
assert_pdf(const char *const name, const char *const with)
{
  static char bytes[1 << 20];
  char        path[512];
  snprintf(path, sizeof(path), "%s/%s", documents, name);
  FILE *const file = fopen(path, "r");
  if (!file) {
    fail_msg("there is no %s", name);
    return;
  }
  const size_t length = fread(bytes, 1, sizeof(bytes) - 1, file);
  fclose(file);
  bool found = false;
  for (size_t i = 0; i + strlen(with) <= length; ++i) {
    found = found || !memcmp(bytes + i, with, strlen(with));
  }
  assert_true(length > 10000);
  assert_memory_equal(bytes, "%PDF-", 5);
  assert_memory_equal(bytes + length - 6, "%%EOF\n", 6);
  assert_true(found);
}

static RlSheetThread *thread;

static void
open_with_sheets(void)
{
  open_controller(NULL);
  thread = rl_sheet_thread_open();
  assert_non_null(thread);
  rl_controller_set_sheets(
    host.controller, &(RlControllerSheets){thread, rl_sheet_thread_begin, rl_sheet_thread_ready});
}

static void
close_with_sheets(void)
{
  close_controller();
  rl_sheet_thread_close(thread);
}

/* Presses the button, and waits. */
static void
sheet_make(void)
{
  const struct timespec pause = {0, 1000000};
  key('l');
  for (int i = 0; rl_controller_view(host.controller)->drawing_sheet; ++i) {
    assert_true(i < 60000);
    nanosleep(&pause, NULL);
    look();
  }
}

static void
a_lesson_sheet_lies_among_the_documents_and_none_is_written_over(void **state)
{
  char path[512];
  (void)state;
  home_make();
  open_with_sheets();
  const RlView *const v = rl_controller_view(host.controller);
  snprintf(path, sizeof(path), "%s/Ferry Street Slow Drag.pdf", documents);
  FILE *const other = fopen(path, "w");
  assert_non_null(other);
  fputs("a letter", other);
  fclose(other);
  sheet_make();
  snprintf(path, sizeof(path), "The lesson sheet is in %s/Ferry Street Slow Drag 2.pdf", documents);
  assert_string_equal(v->notice, path);
  assert_pdf("Ferry Street Slow Drag 2.pdf", "/Title (Ferry Street Slow Drag)");
  assert_pdf("Ferry Street Slow Drag 2.pdf", "[ 0 0 595.27");
  setenv("LC_PAPER", "en_US.UTF-8", 1);
  sheet_make();
  assert_pdf("Ferry Street Slow Drag 3.pdf", "[ 0 0 612 792 ]");
  snprintf(path, sizeof(path), "%s/Ferry Street Slow Drag.pdf", documents);
  struct stat is;
  assert_int_equal(stat(path, &is), 0);
  assert_int_equal(is.st_size, 8);
  assert_int_equal(files_in(documents, false), 3);
  close_with_sheets();
  home_take();
}

static void
a_sheet_that_cannot_be_written_is_not_there_and_that_is_said(void **state)
{
  struct rlimit limit, little;
  (void)state;
  home_make();
  open_with_sheets();
  const RlView *const v = rl_controller_view(host.controller);
  getrlimit(RLIMIT_FSIZE, &limit);
  little          = limit;
  little.rlim_cur = 1000;
  signal(SIGXFSZ, SIG_IGN);
  setrlimit(RLIMIT_FSIZE, &little);
  sheet_make();
  setrlimit(RLIMIT_FSIZE, &limit);
  signal(SIGXFSZ, SIG_DFL);
  assert_non_null(strstr(v->notice, "cannot be written into"));
  assert_non_null(strstr(v->notice, documents));
  assert_int_equal(files_in(documents, false), 0);
  home_take();
  setenv("HOME", "/proc/nowhere", 1);
  sheet_make();
  assert_non_null(strstr(v->notice, "cannot be written into /proc/nowhere: No such file"));
  setenv("HOME", "nowhere", 1);
  sheet_make();
  assert_non_null(strstr(v->notice, "HOME is not set"));
  close_with_sheets();
}

static void
documents_lie_where_the_user_says_or_at_home(void **state)
{
  static const struct {
    const char *line;
    bool        said;
  } lines[] = {{"XDG_DOCUMENTS_DIR=\"$HOME/Pa\\\"pers\"\n", true},
               {"  XDG_DOCUMENTS_DIR=\"$HOME/Pa\\\"pers\"", true},
               {"XDG_DOCUMENTS_DIR=\"$HOME/gone\"\n", false},
               {"XDG_DOCUMENTS_DIR=\"Pa\\\"pers\"\n", false},
               {"XDG_DOCUMENTS_DIR=\"$HOME/Pa\\\"pers\n", false},
               {"#XDG_DOCUMENTS_DIR=\"$HOME/Pa\\\"pers\"\n", false},
               {"XDG_DOCUMENTS_DIR=\"\\", false},
               {"", false}};
  char path[160], found[128];
  (void)state;
  home_make();
  snprintf(path, sizeof(path), "%s/user-dirs.dirs", home);
  for (size_t i = 0; i < sizeof(lines) / sizeof(lines[0]); ++i) {
    FILE *const file = fopen(path, "w");
    assert_non_null(file);
    fputs(lines[i].line, file);
    fclose(file);
    assert_true(rl_documents_folder(found, sizeof(found)));
    assert_string_equal(found, lines[i].said ? documents : home);
  }
  assert_false(rl_documents_folder(found, strlen(home)));
  home_take();
}

static void
letter_is_the_paper_where_the_locale_has_it(void **state)
{
  static const struct {
    const char *all, *paper, *lang;
    RlPaperSize size;
  } locales[] = {{"", "", "en_US.UTF-8", RL_PAPER_LETTER},
                 {"", "", "fr_CA", RL_PAPER_LETTER},
                 {"", "", "es_MX@x", RL_PAPER_LETTER},
                 {"", "", "de_DE.UTF-8", RL_PAPER_A4},
                 {"", "de_DE", "en_US", RL_PAPER_A4},
                 {"en_US", "de_DE", "C", RL_PAPER_LETTER},
                 {"C.UTF-8", "en_US", "en_US", RL_PAPER_A4},
                 {"", "", "", RL_PAPER_A4},
                 {"", "", "es_419", RL_PAPER_A4},
                 {"", "", "en_", RL_PAPER_A4},
                 {"", "", "C_U", RL_PAPER_A4},
                 {"", "", "x_ C", RL_PAPER_A4}};
  (void)state;
  for (size_t i = 0; i < sizeof(locales) / sizeof(locales[0]); ++i) {
    setenv("LC_ALL", locales[i].all, 1);
    setenv("LC_PAPER", locales[i].paper, 1);
    setenv("LANG", locales[i].lang, 1);
    assert_int_equal(rl_documents_paper(), locales[i].size);
  }
}

static void
a_title_becomes_a_name_that_any_file_system_takes(void **state)
{
  static const struct {
    const char *title, *name, *ascii;
  } names[] = {{"Tide Bell", "Tide Bell", "Tide Bell"},
               {"../a/b\\c: d?", "-.-a-b-c- d-", "-.-a-b-c- d-"},
               {".hidden", "-hidden", "-hidden"},
               {"Quay. . .", "Quay", "Quay"},
               {"...", "Untitled", "Untitled"},
               {"", "Untitled", "Untitled"},
               {"F\xC3\xA4hre", "F\xC3\xA4hre", "F--hre"},
               {"a\"b", "a-b", "a-b"}};
  (void)state;
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    char chart[256], name[256];
    open_controller(NULL);
    snprintf(chart, sizeof(chart), "title: %s\n| I7 |\n", names[i].title);
    rl_controller_hear_text(host.controller, RL_CHART, chart);
    for (int ascii = 0; ascii < 2; ++ascii) {
      RlText text = rl_text_in(name, sizeof(name));
      rl_documents_name(rl_controller_view(host.controller)->form, ascii, &text);
      assert_string_equal(name, ascii ? names[i].ascii : names[i].name);
    }
    close_controller();
  }
  static char long_chart[1024];
  RlText      text = rl_text_in(long_chart, sizeof(long_chart));
  rl_text_add(&text, "title: x");
  for (int i = 0; i < 200; ++i) {
    rl_text_add(&text, "\xC3\xA4");
  }
  rl_text_add(&text, "\n| I7 |\n");
  char   name[256];
  RlText to = rl_text_in(name, sizeof(name));
  open_controller(NULL);
  rl_controller_hear_text(host.controller, RL_CHART, long_chart);
  rl_documents_name(rl_controller_view(host.controller)->form, false, &to);
  assert_int_equal(to.used, 99); /* at a whole character */
  close_controller();
}

#endif

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(without_anybody_who_makes_sheets_there_is_no_button),
    cmocka_unit_test(a_sheet_is_made_of_what_is_in_force),
    cmocka_unit_test(the_button_stands_in_every_shape),
    cmocka_unit_test(a_notice_goes_with_the_next_click_or_key),
    cmocka_unit_test(while_a_sheet_is_drawn_the_button_says_so_and_another_is_refused),
    cmocka_unit_test(without_a_chart_it_is_said_what_to_do),
#ifdef RL_SHEET
    cmocka_unit_test(a_lesson_sheet_lies_among_the_documents_and_none_is_written_over),
    cmocka_unit_test(a_sheet_that_cannot_be_written_is_not_there_and_that_is_said),
    cmocka_unit_test(documents_lie_where_the_user_says_or_at_home),
    cmocka_unit_test(letter_is_the_paper_where_the_locale_has_it),
    cmocka_unit_test(a_title_becomes_a_name_that_any_file_system_takes),
#endif
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
