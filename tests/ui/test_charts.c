/* SPDX-License-Identifier: ISC */
/* The screen of charts, used by mouse and by keyboard over a plugin that reads what it is told to.
 */
#define _DEFAULT_SOURCE
#include "scratch.h"

#include "ui/controller/controller.h"
#include "ui/draw/draw.h"
#include "ui/layout/layout.h"

#include "core/chart/chart.h"

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static const char waltz[] = "title: Waltz of the Empty Ferry\nkey: F\nmeter: 3/4\n| I | V7 | I |\n";
static const char slow[]  = "title: Slow Tide\nkey: Bb\nmeter: 12/8\nfeel: slow blues\n| I7 |\n";
static const char harbour[] = "title: Harbour Light\nkey: D\n| I7 | V7 |\n";
static const char typed[]   = "title: Typed by Hand\nkey: A\n| I7 | IV7 |\n";

/* ---- a plugin that does with charts what the real one does ---- */

typedef struct {
  RlController *controller;
  double        now;
  char          chart[RL_CHART_MAX + 2], file[RL_PATH_SIZE];
  int           opened; /**< times that chart_file was set */
} Host;

static Host host;

static void
set_port(void *const data, const RlPort port, const float value)
{
  (void)data;
  (void)port;
  (void)value;
}

static void
tell(const char *const chart, const char *const file)
{
  snprintf(host.chart, sizeof(host.chart), "%s", chart);
  snprintf(host.file, sizeof(host.file), "%s", file);
  rl_controller_hear_text(host.controller, RL_CHART, host.chart);
  rl_controller_hear_text(host.controller, RL_CHART_FILE, host.file);
}

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  static char chart[RL_CHART_MAX + 2];
  (void)data;
  if (which == RL_CHART) {
    tell(text, "");
  } else if (which == RL_CHART_FILE) {
    ++host.opened;
    read_file(text, chart, sizeof(chart));
    tell(chart, text);
  }
}

static void
look(void)
{
  RlRect damage[RL_DAMAGE_MAX];
  rl_controller_changed(host.controller, host.now, 1280, 720, damage);
}

static const RlViewCharts *
charts(void)
{
  return &rl_controller_view(host.controller)->charts;
}

/* Lets the background work; time stands still, so that nothing is late. */
static void
settle(void)
{
  for (int i = 0; i < 40 || (charts()->reading && i < 2000); ++i) {
    look();
    nanosleep(&(struct timespec){0, 2000000}, NULL);
  }
}

static int
open_all(void **state)
{
  static const char *const folders[] = {"presets", "own", "own/sub", "state"};
  const RlControllerPlugin plugin    = {&host, set_port, set_text};
  (void)state;
  root_empty();
  for (size_t i = 0; i < sizeof(folders) / sizeof(folders[0]); ++i) {
    assert_int_equal(mkdir(in(folders[i]), 0777), 0);
  }
  write_file("presets/waltz.chart", waltz);
  write_file("own/slow.chart", slow);
  write_file("own/wrong.chart", "title: Wrong\n| H7 |\n");
  write_file("own/sub/harbour.chart", harbour);
  memset(&host, 0, sizeof(host));
  host.controller = rl_controller_new(&plugin, 1, NULL);
  assert_non_null(host.controller);
  rl_controller_set_chart_files(host.controller, in("own"), in("presets"), in("state"));
  tell(rl_chart_default, "");
  look();
  return 0;
}

static int
close_all(void **state)
{
  (void)state;
  rl_controller_free(host.controller);
  return 0;
}

/* ---- mouse and keyboard ---- */

static void
key(const int which)
{
  rl_controller_input(host.controller, &(RlInput){.kind = RL_INPUT_KEY, .key = which}, host.now);
  settle();
}

static void
type(const char *text)
{
  for (; *text; ++text) {
    rl_controller_input(host.controller, &(RlInput){.kind = RL_INPUT_KEY, .key = *text}, host.now);
  }
  look();
}

static void
erase(void)
{
  for (int i = 0; i < 300; ++i) {
    rl_controller_input(host.controller, &(RlInput){.kind = RL_INPUT_KEY, .key = RL_KEY_BACKSPACE},
                        host.now);
  }
  look();
}

/* The spot of an action; `value` -1: any. */
static RlRect
spot(const RlActionKind kind, const int value)
{
  static RlLayout layout;
  rl_layout_make(&layout, rl_controller_view(host.controller), 1280, 720);
  for (int i = layout.live; i < layout.spots; ++i) {
    if (layout.spot[i].action.kind == kind &&
        (value == -1 || layout.spot[i].action.value == value)) {
      return layout.spot[i].at;
    }
  }
  fail_msg("no spot of action %d, value %d", kind, value);
  return (RlRect){0};
}

static void
click(const RlActionKind kind, const int value)
{
  const RlRect at    = spot(kind, value);
  RlInput      input = {.kind = RL_INPUT_PRESS, .x = at.x + at.w / 2, .y = at.y + at.h / 2};
  rl_controller_input(host.controller, &input, host.now);
  input.kind = RL_INPUT_RELEASE;
  rl_controller_input(host.controller, &input, host.now);
  settle();
}

static int
entry(const char *const label)
{
  const RlChartList *const list = charts()->list;
  for (int i = 0; i < list->count; ++i) {
    if (!strcmp(list->entry[i].label, label)) {
      return i;
    }
  }
  fail_msg("%s is not listed", label);
  return -1;
}

static bool
plays(const char *const chart)
{
  return !strcmp(host.chart, chart) &&
         rl_controller_view(host.controller)->screen == RL_SCREEN_PLAY;
}

/* ---- opening ---- */

static void
a_chart_is_found_and_opened_by_mouse_alone(void **state)
{
  (void)state;
  click(RL_ACTION_CHARTS, 0); /* on the chart's title */
  assert_int_equal(rl_controller_view(host.controller)->screen, RL_SCREEN_CHARTS);
  assert_int_equal(charts()->place, RL_CHARTS_PRESETS);
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  assert_string_equal(charts()->folder, in("own"));
  click(RL_ACTION_CHART_SELECT, entry("sub"));
  assert_string_equal(charts()->folder, in("own/sub"));
  click(RL_ACTION_CHART_SELECT, entry("Harbour Light"));
  assert_non_null(charts()->form);
  assert_int_equal(charts()->form->bars, 2);
  assert_string_equal(host.chart, rl_chart_default); /* looked at, not opened */
  click(RL_ACTION_CHART_OPEN, 0);
  assert_true(plays(harbour));
  assert_string_equal(host.file, in("own/sub/harbour.chart"));
}

static void
a_chart_is_found_and_opened_by_keyboard_alone(void **state)
{
  (void)state;
  key('a');
  key('f');
  type("EMPTY 3/4");
  assert_int_equal(rl_view_charts_listed(rl_controller_view(host.controller)), 1);
  key(RL_KEY_ENTER); /* looks at the first */
  assert_int_equal(charts()->selected, entry("Waltz of the Empty Ferry"));
  key(RL_KEY_DOWN); /* enters the list */
  for (int i = 0; i < 60 && rl_controller_view(host.controller)->screen == RL_SCREEN_CHARTS; ++i) {
    static RlLayout     layout;
    const RlView *const v = rl_controller_view(host.controller);
    key(RL_KEY_TAB);
    rl_layout_make(&layout, v, 1280, 720);
    if (v->focus >= 0 && layout.spot[v->focus].action.kind == RL_ACTION_CHART_OPEN) {
      key(RL_KEY_ENTER);
    }
  }
  assert_true(plays(waltz));
}

static void
a_folder_is_typed_and_a_file_too(void **state)
{
  (void)state;
  key('a');
  click(RL_ACTION_CHARTS_PATH, 0);
  erase();
  type(in("own/sub"));
  key(RL_KEY_ENTER);
  assert_string_equal(charts()->folder, in("own/sub"));
  click(RL_ACTION_CHART_SELECT, entry(".."));
  assert_string_equal(charts()->folder, in("own"));
  click(RL_ACTION_CHARTS_PATH, 0);
  erase();
  type("sub/harbour.chart");
  key(RL_KEY_ENTER);
  assert_int_equal(charts()->selected, entry("Harbour Light"));
  click(RL_ACTION_CHARTS_PATH, 0);
  erase();
  type("/nowhere at all");
  key(RL_KEY_ENTER);
  assert_true(charts()->alarm);
  assert_non_null(strstr(charts()->words, "/nowhere at all: not found"));
}

/* Whoever is new has no folder for charts yet: that is no fault. */
static void
a_folder_of_ones_own_that_is_not_there_yet_is_no_fault(void **state)
{
  char command[128];
  (void)state;
  snprintf(command, sizeof(command), "rm -rf %s/own", root);
  assert_int_equal(system(command), 0);
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  assert_false(charts()->alarm);
  assert_non_null(strstr(charts()->words, "No charts of your own yet"));
  tell(typed, "");
  click(RL_ACTION_CHART_SAVE, 0);
  key(RL_KEY_ENTER);
  file_is("own/typed-by-hand.chart", typed);
  assert_int_equal(charts()->selected, entry("Typed by Hand"));
}

static void
a_chart_that_cannot_be_read_is_listed_and_not_opened(void **state)
{
  (void)state;
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  const int wrong = entry("wrong.chart");
  assert_string_equal(charts()->list->entry[wrong].about,
                      "line 2, bar 1: no such chord \"H7\"; letters run A to G, degrees I to VII");
  click(RL_ACTION_CHART_SELECT, wrong);
  assert_null(charts()->form);
  assert_non_null(strstr(charts()->wrong, "no such chord"));
  click(RL_ACTION_CHART_OPEN, 0);
  assert_int_equal(host.opened, 0);
  assert_true(charts()->alarm);
}

/* Half a bar more would be stretched over a whole bar of the DAW. */
static void
a_meter_that_changes_is_said(void **state)
{
  (void)state;
  write_file("own/crooked.chart", "title: Crooked\nkey: A\n| I7 | 2/4 IV7 | 4/4 I7 |\n");
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  click(RL_ACTION_CHART_SELECT, entry("Crooked"));
  click(RL_ACTION_CHART_OPEN, 0);
  assert_non_null(strstr(rl_controller_view(host.controller)->notice, "set count by to beats"));
  key(RL_KEY_ESCAPE);
  rl_controller_hear_port(host.controller, RL_PORT_COUNT_BY, 1);
  key('a');
  click(RL_ACTION_CHART_OPEN, 0); /* it is still selected */
  assert_int_equal(host.opened, 2);
  assert_string_equal(rl_controller_view(host.controller)->notice, "");
}

/* ---- what would be lost ---- */

static void
open_slow(void)
{
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  click(RL_ACTION_CHART_SELECT, entry("Slow Tide"));
  click(RL_ACTION_CHART_OPEN, 0);
}

static void
what_is_in_no_file_is_not_lost_unasked(void **state)
{
  (void)state;
  tell(typed, "");
  open_slow();
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_LOST);
  assert_non_null(strstr(charts()->question, "\"Typed by Hand\" is in no file"));
  assert_string_equal(host.chart, typed);
  key(RL_KEY_ESCAPE);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_NOTHING);
  assert_string_equal(host.chart, typed);
  click(RL_ACTION_CHART_OPEN, 0);
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_OPEN_ANYWAY);
  assert_true(plays(slow));
}

static void
it_can_be_saved_first(void **state)
{
  (void)state;
  tell(typed, "");
  open_slow();
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_SAVE_FIRST);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_NAME); /* it has no file yet */
  key(RL_KEY_ENTER);                                   /* as proposed */
  file_is("own/typed-by-hand.chart", typed);
  assert_true(plays(slow));
}

static void
what_a_file_holds_is_opened_over_unasked(void **state)
{
  (void)state;
  open_slow();
  assert_true(plays(slow));
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_PRESETS);
  click(RL_ACTION_CHART_SELECT, entry("Waltz of the Empty Ferry"));
  click(RL_ACTION_CHART_SELECT, entry("Waltz of the Empty Ferry")); /* once more opens it */
  assert_true(plays(waltz));
}

/* A click on bar 1, and another chord. */
static void
edit_bar_one(void)
{
  click(RL_ACTION_BAR_EDIT, 0);
  erase();
  type("IV7");
  key(RL_KEY_ENTER);
}

static void
an_edited_chart_keeps_its_file_and_is_not_lost(void **state)
{
  (void)state;
  open_slow();
  edit_bar_one();
  assert_string_equal(host.file, ""); /* the plugin's own */
  assert_string_equal(charts()->file, in("own/slow.chart"));
  assert_false(charts()->saved);
  key('a');
  assert_string_equal(charts()->folder, in("own"));
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_PRESETS);
  click(RL_ACTION_CHART_SELECT, entry("Waltz of the Empty Ferry"));
  click(RL_ACTION_CHART_OPEN, 0);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_LOST);
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_SAVE_FIRST);
  assert_true(plays(waltz));
  file_is("own/slow.chart", "title: Slow Tide\nkey: Bb\nmeter: 12/8\nfeel: slow blues\n| IV7 |\n");
}

/* ---- saving ---- */

static void
a_chart_is_saved_where_it_came_from_and_the_host_knows(void **state)
{
  (void)state;
  open_slow();
  edit_bar_one();
  key('a');
  click(RL_ACTION_CHART_SAVE, 0);
  file_is("own/slow.chart", host.chart);
  assert_non_null(strstr(charts()->words, "Saved in "));
  assert_string_equal(host.file, in("own/slow.chart"));
  assert_true(charts()->saved);
  assert_non_null(charts()->form); /* the chart looked at is the one that was saved */
  assert_string_equal(charts()->form->text, host.chart);
}

static void
what_changed_on_the_disk_is_not_written_over_unasked(void **state)
{
  (void)state;
  open_slow();
  edit_bar_one();
  write_file("own/slow.chart", "title: Slow Tide\n| V7 |\n");
  key('a');
  click(RL_ACTION_CHART_SAVE, 0);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_OVER);
  assert_non_null(strstr(charts()->question, "was changed by somebody else"));
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_CANCEL);
  file_is("own/slow.chart", "title: Slow Tide\n| V7 |\n");
  click(RL_ACTION_CHART_SAVE, 0);
  write_file("own/slow.chart", "title: Slow Tide\n| VI7 |\n"); /* while it is asked */
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_SAVE_OVER);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_OVER);
  file_is("own/slow.chart", "title: Slow Tide\n| VI7 |\n");
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_SAVE_OVER);
  file_is("own/slow.chart", host.chart);
}

static void
a_file_that_is_gone_is_asked_about(void **state)
{
  (void)state;
  open_slow();
  edit_bar_one();
  unlink(in("own/slow.chart"));
  key('a');
  click(RL_ACTION_CHART_SAVE, 0);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_GONE);
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_SAVE_AGAIN);
  file_is("own/slow.chart", host.chart);
}

/* The session has the text; its file's folder is that of another machine, and is not made here. */
static void
a_session_of_another_machine_is_saved_elsewhere(void **state)
{
  (void)state;
  tell(slow, in("another/machine/slow.chart"));
  assert_true(charts()->saved);
  edit_bar_one();
  key('a');
  click(RL_ACTION_CHART_SAVE, 0);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_GONE);
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_SAVE_AGAIN);
  assert_non_null(strstr(charts()->words, "its folder is not there"));
  assert_int_not_equal(access(in("another"), F_OK), 0);
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  click(RL_ACTION_CHART_SAVE_AS, 0);
  erase();
  type("here");
  key(RL_KEY_ENTER);
  file_is("own/here.chart", host.chart);
  assert_string_equal(host.file, in("own/here.chart"));
}

static void
another_chart_is_not_written_over_unasked(void **state)
{
  (void)state;
  tell(typed, "");
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  click(RL_ACTION_CHART_SAVE, 0); /* from no file: asks for a name */
  erase();
  type("slow");
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_SAVE_NAME);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_OVER);
  assert_non_null(strstr(charts()->question, "slow.chart is there already"));
  file_is("own/slow.chart", slow);
  click(RL_ACTION_CHARTS_ANSWER, RL_CHARTS_OTHER_NAME);
  erase();
  type("by hand");
  key(RL_KEY_ENTER);
  file_is("own/by hand.chart", typed);
  assert_non_null(strstr(charts()->words, "Saved in "));
  assert_int_equal(charts()->selected, entry("Typed by Hand"));
}

static void
a_name_that_is_none_is_said(void **state)
{
  static const char *const wrong[][2] = {{"", "write a name"}, {"a/b", "no slash"}, {".x", "dot"}};
  char                     long_name[300];
  (void)state;
  tell(typed, "");
  key('a');
  click(RL_ACTION_CHART_SAVE_AS, 0);
  for (int i = 0; i < 3; ++i) {
    erase();
    type(wrong[i][0]);
    key(RL_KEY_ENTER);
    assert_non_null(strstr(rl_controller_view(host.controller)->edit.error, wrong[i][1]));
    assert_int_equal(charts()->ask, RL_CHARTS_ASK_NAME);
  }
  memset(long_name, 'n', sizeof(long_name));
  long_name[sizeof(long_name) - 1] = '\0';
  erase();
  type(long_name);
  key(RL_KEY_ENTER);
  assert_non_null(strstr(rl_controller_view(host.controller)->edit.error, "too long"));
  key(RL_KEY_ESCAPE);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_NOTHING);
  assert_int_equal(rl_controller_view(host.controller)->screen, RL_SCREEN_CHARTS);
}

static void
a_preset_is_saved_as_a_chart_of_ones_own(void **state)
{
  (void)state;
  key('a');
  click(RL_ACTION_CHART_SELECT, entry("Waltz of the Empty Ferry"));
  click(RL_ACTION_CHART_OPEN, 0);
  edit_bar_one();
  key('a');
  click(RL_ACTION_CHART_SAVE, 0);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_NAME);
  assert_non_null(strstr(charts()->question, in("own")));
  key(RL_KEY_ENTER);
  file_is("presets/waltz.chart", waltz);
  file_is("own/waltz.chart", host.chart);
}

static void
read_only_is_said(void **state)
{
  (void)state;
  open_slow();
  edit_bar_one();
  chmod(in("own/slow.chart"), 0444);
  key('a');
  click(RL_ACTION_CHART_SAVE, 0);
  assert_true(charts()->alarm);
  assert_non_null(strstr(charts()->words, "can only be read"));
  file_is("own/slow.chart", slow);
}

/* ---- new ---- */

static void
a_new_chart_is_twelve_bars_in_a_key(void **state)
{
  (void)state;
  open_slow();
  key('a');
  click(RL_ACTION_CHART_NEW, 0);
  assert_int_equal(charts()->ask, RL_CHARTS_ASK_KEY);
  click(RL_ACTION_CHART_KEY, 12 + 9);
  assert_int_equal(rl_controller_view(host.controller)->screen, RL_SCREEN_PLAY);
  const RlForm *const form = rl_controller_view(host.controller)->form;
  assert_int_equal(form->bars, 12);
  assert_true(form->key.minor);
  assert_non_null(strstr(host.chart, "title: Twelve-bar in Am\n"));
  assert_string_equal(charts()->file, "");
}

/* ---- recent ---- */

static void
opened_charts_are_recent_also_the_hosts(void **state)
{
  (void)state;
  open_slow();
  tell(harbour, in("own/sub/harbour.chart")); /* by the host's own way */
  settle();
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_RECENT);
  assert_int_equal(charts()->list->count, 2);
  assert_string_equal(charts()->list->entry[0].label, "Harbour Light");
  assert_string_equal(charts()->list->entry[1].label, "Slow Tide");
  unlink(in("own/slow.chart"));
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_RECENT);
  assert_int_equal(charts()->list->entry[1].kind, RL_ENTRY_GONE);
}

/* ---- what comes from elsewhere ---- */

static void
a_preset_of_the_hosts_has_no_file(void **state)
{
  (void)state;
  open_slow();
  tell(harbour, "");
  assert_string_equal(charts()->file, "");
  tell(slow, in("own/slow.chart")); /* as a session is restored */
  assert_string_equal(charts()->file, in("own/slow.chart"));
  assert_true(charts()->saved);
}

/* ---- folders that do not answer ---- */

static atomic_bool hangs;

DIR *__real_opendir(const char *name);
DIR *__wrap_opendir(const char *name);

DIR *
__wrap_opendir(const char *const name)
{
  while (hangs && strstr(name, "own/sub")) {
    nanosleep(&(struct timespec){0, 5000000}, NULL);
  }
  return __real_opendir(name);
}

static void
a_folder_that_does_not_answer_is_said_and_left(void **state)
{
  (void)state;
  key('a');
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_OWN);
  hangs              = true;
  const RlRect at    = spot(RL_ACTION_CHART_SELECT, entry("sub"));
  RlInput      input = {.kind = RL_INPUT_PRESS, .x = at.x + at.w / 2, .y = at.y + at.h / 2};
  rl_controller_input(host.controller, &input, host.now);
  input.kind = RL_INPUT_RELEASE;
  rl_controller_input(host.controller, &input, host.now);
  look();
  assert_string_equal(charts()->words, "");
  host.now += 6;
  look();
  assert_true(charts()->alarm);
  assert_non_null(strstr(charts()->words, "own/sub: no answer yet"));
  click(RL_ACTION_CHARTS_PLACE, RL_CHARTS_PRESETS);
  assert_int_equal(charts()->list->count, 2);
  assert_string_equal(charts()->words, "");
  hangs = false;
}

/* ---- many ---- */

static double
seconds(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Types a folder and waits until so many charts are listed. */
static double
seconds_to_list(const char *const folder, const int count)
{
  click(RL_ACTION_CHARTS_PATH, 0);
  erase();
  type(in(folder));
  rl_controller_input(host.controller, &(RlInput){.kind = RL_INPUT_KEY, .key = RL_KEY_ENTER},
                      host.now);
  const double from   = seconds();
  double       passed = 0;
  while (rl_view_charts_listed(rl_controller_view(host.controller)) <= count && passed < 20) {
    look();
    nanosleep(&(struct timespec){0, 2000000}, NULL);
    passed = seconds() - from;
  }
  print_message("10,000 charts: listed after %.0f ms\n", passed * 1e3);
  return passed;
}

/* The list stands there at once, by names, and can be used; titles follow. */
static void
ten_thousand_charts_open_at_once(void **state)
{
  enum { COUNT = 10000 };
  char   text[128], name[64];
  double listed = 1;
  (void)state;
  assert_int_equal(mkdir(in("many"), 0777), 0);
  for (int i = 0; i < COUNT; ++i) {
    snprintf(name, sizeof(name), "many/n%05d.chart", i);
    snprintf(text, sizeof(text), "title: Song %05d\nkey: G\n| I7 | IV7 | I7 | V7 |\n",
             (int)((long)i * 7919 % COUNT));
    write_file(name, text);
  }
  key('a');
  for (int tries = 0; tries < 3 && listed > 0.3; ++tries) { /* a busy machine may be late */
    listed = seconds_to_list("many", COUNT);
  }
  settle();
  assert_true(listed < 0.3);
  assert_string_equal(charts()->list->entry[1].label, "Song 00000");
  assert_string_equal(charts()->list->entry[COUNT].label, "Song 09999");
  key('f');
  type("song 04040"); /* one by its title, one by its file's name */
  assert_int_equal(charts()->found_count, 2);
  key(RL_KEY_ENTER);
  assert_non_null(charts()->form);
}

int
main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, open_all, close_all)
  const struct CMUnitTest tests[] = {
    TEST(a_chart_is_found_and_opened_by_mouse_alone),
    TEST(a_chart_is_found_and_opened_by_keyboard_alone),
    TEST(a_folder_is_typed_and_a_file_too),
    TEST(a_folder_of_ones_own_that_is_not_there_yet_is_no_fault),
    TEST(a_chart_that_cannot_be_read_is_listed_and_not_opened),
    TEST(a_meter_that_changes_is_said),
    TEST(what_is_in_no_file_is_not_lost_unasked),
    TEST(it_can_be_saved_first),
    TEST(what_a_file_holds_is_opened_over_unasked),
    TEST(an_edited_chart_keeps_its_file_and_is_not_lost),
    TEST(a_chart_is_saved_where_it_came_from_and_the_host_knows),
    TEST(what_changed_on_the_disk_is_not_written_over_unasked),
    TEST(a_file_that_is_gone_is_asked_about),
    TEST(a_session_of_another_machine_is_saved_elsewhere),
    TEST(another_chart_is_not_written_over_unasked),
    TEST(a_name_that_is_none_is_said),
    TEST(a_preset_is_saved_as_a_chart_of_ones_own),
    TEST(read_only_is_said),
    TEST(a_new_chart_is_twelve_bars_in_a_key),
    TEST(opened_charts_are_recent_also_the_hosts),
    TEST(a_preset_of_the_hosts_has_no_file),
    TEST(a_folder_that_does_not_answer_is_said_and_left),
    TEST(ten_thousand_charts_open_at_once),
  };
  if (!root_make()) {
    return EXIT_FAILURE;
  }
  const int failed = cmocka_run_group_tests_name("charts", tests, NULL, NULL);
  root_remove();
  return failed;
}
