/* SPDX-License-Identifier: ISC */
/* Charts in files: every preset, and one broken chart for each way of being broken, against the
   reference, core/chart/CHART.md. The project's own folder is the first argument, else the
   environment's RL_TEST_DATA, else the macro of that name. */
#define _POSIX_C_SOURCE 200809L /* opendir */

#include "chart_reading.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef RL_TEST_DATA
#define RL_TEST_DATA "."
#endif

enum { PATH_ROOM = 512, FILE_ROOM = 32768 };

static const char *project_dir = RL_TEST_DATA;
static RlForm      other_form;
static const char  two_strains[] = TWO_STRAINS;

/* ---- files ---- */

/* Reads a whole file; true if it is there and fits. */
static bool
file_read(const char *const path, char *const to, const size_t room, size_t *const length)
{
  FILE *const file = fopen(path, "rb");
  if (!file) {
    return false;
  }
  *length        = fread(to, 1, room, file);
  const bool all = *length < room && !ferror(file);
  fclose(file);
  return all;
}

static void
path_in_project(char path[PATH_ROOM], const char *const folder, const char *const name,
                const char *const extension)
{
  const int n = snprintf(path, PATH_ROOM, "%s/%s/%s%s", project_dir, folder, name, extension);
  assert_true(n > 0 && n < PATH_ROOM);
}

/* The name without `.chart`; false if it has another extension. */
static bool
chart_name(const char *const file, char *const name, const size_t room)
{
  const char *const dot = strrchr(file, '.');
  if (!dot || strcmp(dot, ".chart") != 0 || (size_t)(dot - file) >= room) {
    return false;
  }
  memcpy(name, file, (size_t)(dot - file));
  name[dot - file] = '\0';
  return true;
}

/* Calls `check` for every chart of a folder; returns how many there were. */
static int
each_chart(const char *const folder, void (*const check)(const char *name, RlSlice text))
{
  static char text[FILE_ROOM];
  char        path[PATH_ROOM];
  char        name[PATH_ROOM];
  int         count = 0;
  path_in_project(path, folder, "", "");
  DIR *const dir = opendir(path);
  if (!dir) {
    fail_msg("no folder %s", path);
    return 0;
  }
  for (const struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
    size_t length = 0;
    if (!chart_name(entry->d_name, name, sizeof(name))) {
      continue;
    }
    path_in_project(path, folder, name, ".chart");
    assert_true(file_read(path, text, sizeof(text), &length));
    check(name, (RlSlice){text, length});
    ++count;
  }
  closedir(dir);
  return count;
}

/* Bars by counting on paper what each chart's own comment and signs say. */
static const struct {
  const char *name;
  int         bars, ending;
} presets[] = {
  {"aaba", 32, 0},
  {"ballad", 24, 0},
  {"crooked-blues", 13, 0}, /* twelve and a half: one of them in 2/4 */
  {"eight-bar", 8, 0},
  {"gospel", 16, 8},
  {"minor-modal", 24, 0}, /* eight twice, then eight */
  {"six-eight", 32, 0},
  {"sixteen-bar", 16, 0},
  {"slow-twelve-eight", 12, 0},
  {"twelve-bar", 12, 0},
  {"twelve-bar-jazz", 12, 0},
  {"twelve-bar-minor", 12, 0},
  {"twelve-bar-quick-change", 12, 0},
  {"twelve-bar-slow-drag", 12, 0},
  {"twelve-bar-turnaround", 12, 0},
  {"waltz", 32, 0}, /* AABB of eight each */
};

enum { PRESETS = sizeof(presets) / sizeof(presets[0]) };

static void
preset_check(const char *const name, const RlSlice text)
{
  for (int i = 0; i < PRESETS; ++i) {
    if (strcmp(name, presets[i].name) == 0) {
      const RlForm *const form = form_of_slice(text);
      if (form->bars != presets[i].bars || form->ending_bars != presets[i].ending) {
        fail_msg("%s has %d bars and %d in the ending, not %d and %d", name, form->bars,
                 form->ending_bars, presets[i].bars, presets[i].ending);
      }
      return;
    }
  }
  fail_msg("the preset %s is not in this test's table; count its bars", name);
}

static void
every_preset_has_as_many_bars_as_its_paper_says(void **state)
{
  (void)state;
  assert_int_equal(each_chart("presets", preset_check), PRESETS);
}

static int broken_failures;

static void
complain(const char *const name, const char *const what, const char *const seen)
{
  print_error("%s: %s\n  seen:     %s\n", name, what, seen);
  ++broken_failures;
}

static int
lines_of(const RlSlice text)
{
  int lines = 1;
  for (size_t i = 0; i < text.length; ++i) {
    lines += text.at[i] == '\n';
  }
  return lines;
}

/* STYLE: "an error a person sees names the place and the way out". The place: a line of the text,
   and a bar where the fault lies in one (the files named bar-…). The way out stands behind a
   semicolon, or as an example behind a colon. */
static void
place_and_way_out_check(const char *const name, const RlSlice text, const char *const message)
{
  int line = 0;
  int bar  = 0;
  int n    = 0;
  if (sscanf(message, "line %d%n", &line, &n) != 1 || line < 1 || line > lines_of(text)) {
    complain(name, "names no line of the text", message);
  }
  const char *reason   = message + n;
  const bool  with_bar = sscanf(reason, ", bar %d%n", &bar, &n) == 1;
  if (strncmp(name, "bar-", 4) == 0 && (!with_bar || bar < 1)) {
    complain(name, "names no bar", message);
  }
  reason += with_bar ? n : 0;
  if (strncmp(reason, ": ", 2) != 0) {
    complain(name, "has no reason behind the place", message);
    return;
  }
  reason += 2;
  const char *const semicolon = strstr(reason, "; ");
  const char *const colon     = strstr(reason, ": ");
  if ((!semicolon || strlen(semicolon) < 6) && (!colon || strlen(colon) < 4)) {
    complain(name, "names no way out", message);
  }
}

static void
broken_check(const char *const name, const RlSlice text)
{
  static char expected[RL_REASON_SIZE * 2];
  char        path[PATH_ROOM];
  size_t      length = 0;
  path_in_project(path, "tests/charts/broken", name, ".error");
  if (!file_read(path, expected, sizeof(expected) - 1, &length) || !length) {
    complain(name, "has no .error file", path);
    return;
  }
  expected[length - (expected[length - 1] == '\n')] = '\0';
  const char *const message                         = error_of_slice(text);
  if (strcmp(message, expected) != 0) {
    complain(name, "another message was expected", message);
    print_error("  expected: %s\n", expected);
  }
  place_and_way_out_check(name, text, message);
}

static void
every_broken_chart_is_refused_with_the_place_and_the_way_out(void **state)
{
  (void)state;
  enum { WAYS_OF_BEING_BROKEN = 70 }; /* at least; a missing folder must not pass */
  broken_failures = 0;
  assert_true(each_chart("tests/charts/broken", broken_check) >= WAYS_OF_BEING_BROKEN);
  assert_int_equal(broken_failures, 0);
}

/* After a failure the same form and error read a good chart as new ones do. */
static void
read_again_check(const char *const name, const RlSlice text)
{
  if (rl_chart_read(text, &the_form, &the_error)) {
    fail_msg("%s reads", name);
  }
  assert_true(the_error.reason[0] != '\0');
  if (!rl_chart_read(rl_slice(two_strains), &the_form, &the_error)) {
    fail_msg("after %s a good chart fails: %s", name, the_error.reason);
  }
  forms_equal(&the_form, &other_form);
  assert_int_equal(the_form.text_length, strlen(two_strains));
  assert_int_equal(the_error.line, 0);
  assert_int_equal(the_error.bar, 0);
  assert_string_equal(the_error.reason, "");
}

static void
a_failed_read_leaves_nothing_behind_for_the_next(void **state)
{
  (void)state;
  memset(&the_form, 0xA5, sizeof(the_form));
  memset(&the_error, 0xA5, sizeof(the_error));
  assert_true(rl_chart_read(rl_slice(two_strains), &other_form, &the_error));
  assert_true(each_chart("tests/charts/broken", read_again_check) >= 70);
}

/* What was in the form and the error before makes no difference. */
static void
a_form_need_not_be_cleared_before_reading(void **state)
{
  (void)state;
  memset(&the_form, 0, sizeof(the_form));
  other_form = *form_of(two_strains);
  memset(&the_form, 0xFF, sizeof(the_form));
  memset(&the_error, 0xFF, sizeof(the_error));
  forms_equal(form_of(two_strains), &other_form);
}

/* The text need not end in a zero byte, and what stands behind it is not read. */
static void
only_the_slice_is_read(void **state)
{
  (void)state;
  assert_string_equal(
    shown_in(form_of_slice((RlSlice){"| I | IV7 | V |", 8}), the_form.key, rl_harmony_degree),
    "I | IV");
}

static void
a_form_says_which_rules_it_was_read_under(void **state)
{
  (void)state;
  assert_int_equal(form_of("| I7 |\n")->rules, 2);
  assert_int_equal(form_of("chart-rules: 2\n| I7 |\n")->rules, 2);
  assert_int_equal(form_of("key: Am\nchart-rules: 1\n| VI7 |\n")->rules, 1);
}

/* The audio thread prints names, and does not look for how they are printed. */
static void
how_a_chord_is_printed_is_found_when_the_chart_is_read(void **state)
{
  (void)state;
  form_of("key: Dm\n| i7 | Bbmaj7#11 | C\xC3\xB8 | iim7b5/VII V7(b9,b13) |\n| V7/iv | A7alt/C# | "
          "N.C. | ivmMaj7 C5 |\n");
  assert_int_equal(the_form.changes, 10);
  for (int i = 0; i < the_form.changes; ++i) {
    const RlChord           chord = rl_form_chord(&the_form, i);
    const RlQualitySpelling found = rl_quality_spell(chord.quality);
    assert_int_equal(chord.spelling.base, found.base);
    assert_int_equal(chord.spelling.altered, found.altered);
    assert_true((chord.quality != RL_QUALITY_NONE) == (chord.spelling.base != 0));
  }
}

int
main(const int count, char *const *const arguments)
{
  const char *const environment = getenv("RL_TEST_DATA");
  project_dir = count > 1 ? arguments[1] : environment ? environment : RL_TEST_DATA;

  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_preset_has_as_many_bars_as_its_paper_says),
    cmocka_unit_test(every_broken_chart_is_refused_with_the_place_and_the_way_out),
    cmocka_unit_test(a_failed_read_leaves_nothing_behind_for_the_next),
    cmocka_unit_test(a_form_need_not_be_cleared_before_reading),
    cmocka_unit_test(only_the_slice_is_read),
    cmocka_unit_test(a_form_says_which_rules_it_was_read_under),
    cmocka_unit_test(how_a_chord_is_printed_is_found_when_the_chart_is_read),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
