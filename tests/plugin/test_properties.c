/* SPDX-License-Identifier: ISC */
/* Charts, files and addresses in, values and problems out: patch:Get and patch:Set on the atom
   ports. Sources: plugin/PORTS.md ("reference"); the LV2 patch, atom and worker
   vocabularies (lv2plug.in/ns/ext), and what hosts do to atom
   ports (core/clock/CLOCK.md). */
#include "scene.h"

#include <lv2/atom/atom.h>
#include <lv2/patch/patch.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { CHART_MAX = 16384, PORT_BYTES = 32768 }; /* reference: 16 KiB of text; rsz:minimumSize */

static const char *const properties[] = {"chart",  "chart_file", "plan",   "take",
                                         "osc_to", "practice",   "problem"};
static const char        two_bars[]   = "key: C\n| I7 | IV7 |\n";
static const char        three_bars[] = "key: D\n| I7 | IV7 | V7 |\n";

/* How many bars the form in force has, and its first chord, as the window hears it. */
static void
form_is(Scene *const s, const int bars, const char *const first)
{
  const Report report = parked_at(0, 0);
  scene_report(s, 0, &report);
  rl_host_send_get(s->host, 0, NULL);
  scene_run(s, 16);
  SAME(scene_last(s)->bars, bars);
  TEXT(scene_last(s)->now, first);
}

/* ---- asking ---- */

static void
a_get_of_one_property_tells_that_one(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (size_t i = 0; i < COUNT(properties); ++i) {
    scene_ask(&s, properties[i]);
    assert_int_equal(s.tolds, 1);
    assert_int_equal(scene_times_told(&s, properties[i]), 1);
  }
  scene_end(&s);
}

/* jalv asks so when a window opens; the window then knows everything, the place too. */
static void
a_get_of_nothing_in_particular_tells_everything_once(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  rl_host_send_get(s.host, 5, NULL);
  scene_run(&s, 16);
  assert_int_equal(s.tolds, COUNT(properties));
  for (size_t i = 0; i < COUNT(properties); ++i) {
    assert_int_equal(scene_times_told(&s, properties[i]), 1);
  }
  assert_int_equal(s.places, 1);
  scene_run(&s, 16);
  assert_int_equal(s.tolds, COUNT(properties)); /* once */
  assert_int_equal(s.places, 1);
  scene_end(&s);
}

static void
a_new_plugin_begins_with_a_blues_in_g_and_nothing_wrong(void **state)
{
  static const char *const uris[] = {STEREO, MONO};
  (void)state;
  for (size_t i = 0; i < COUNT(uris); ++i) {
    Scene              s;
    const RlHostChoice choice = scene_choice(uris[i]);
    scene_open(&s, &choice);
    rl_host_activate(s.host);
    rl_host_send_get(s.host, 0, NULL); /* the first thing that a window says, in the first block */
    scene_run(&s, 16);
    assert_true(scene_told(&s, "chart") && strlen(scene_told(&s, "chart")) > 0);
    TEXT(scene_told(&s, "chart_file"), "");
    TEXT(scene_told(&s, "osc_to"), "127.0.0.1:9911"); /* reference: the default */
    TEXT(scene_told(&s, "problem"), "");
    form_is(&s, 12, "G7");
    scene_end(&s);
  }
}

static void
a_property_of_somebody_else_is_neither_told_nor_taken(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  rl_host_send_get(s.host, 0, "urn:example:gain");
  rl_host_send_text(s.host, 0, "urn:example:chart", LV2_ATOM__String, two_bars);
  rl_host_send_text(s.host, 0, "urn:reedlamp:nonsense", LV2_ATOM__String, two_bars);
  scene_play(&s, 64, 16);
  assert_int_equal(s.tolds, 0);
  form_is(&s, 12, "G7");
  scene_end(&s);
}

/* ---- charts ---- */

static void
a_good_chart_is_in_force_and_told_back(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_send(&s, 3, "chart", two_bars);
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "chart"), two_bars);
  assert_int_equal(scene_times_told(&s, "chart"), 1);
  form_is(&s, 2, "C7");
  TEXT(scene_ask(&s, "problem"), "");
  TEXT(scene_ask(&s, "chart"), two_bars);
  scene_end(&s);
}

/* Reference: a chart with an error changes nothing; the form before it stays in force. The problem
   names the place and the way out. */
static void
a_chart_with_an_error_changes_nothing_and_the_problem_says_where(void **state)
{
  static const struct {
    const char *chart, *where;
  } bad[] = {
    {"| I7 | H7 |\n", "line 1, bar 2"},
    {"key: G\n| I7 |\n| % | IV7 Cmaj77 |\n", "line 3, bar 3"},
    {"key: H\n| I7 |\n", "line 1"},
    {"title: x\n\n\n| % |\n", "line 4, bar 1"},
    {"| I7 |\n[A]\n| I7 IV7 V7 |\n", "line 3, bar 2"},
    {"key: C\nmeter: 4/4\n", "line"},
    {"", "line"},
  };
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, three_bars);
  for (size_t i = 0; i < COUNT(bad); ++i) {
    scene_send(&s, 0, "chart", bad[i].chart);
    scene_play(&s, 64, 16);
    HAS(scene_told(&s, "problem"), bad[i].where); /* without being asked */
    assert_int_equal(strncmp(scene_told(&s, "problem"), bad[i].where, strlen(bad[i].where)), 0);
    TEXT(scene_ask(&s, "chart"), three_bars);
    form_is(&s, 3, "D7");
    scene_settle(&s);
  }
  scene_send(&s, 0, "chart", two_bars);
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "problem"), ""); /* emptied by the next good one, and told so */
  form_is(&s, 2, "C7");
  scene_end(&s);
}

/* A bad chart after which the old one is set again: nothing is wrong any more. */
static void
the_chart_in_force_set_once_more_empties_the_problem(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, three_bars);
  scene_send(&s, 0, "chart", "| H7 |");
  scene_play(&s, 64, 16);
  HAS(scene_told(&s, "problem"), "line 1");
  scene_send(&s, 0, "chart", three_bars);
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "problem"), "");
  form_is(&s, 3, "D7");
  scene_end(&s);
}

/* A good chart of just so many bytes. */
static char *
chart_of(const size_t bytes, const char *const head)
{
  char *const text = (char *)malloc(bytes + 1);
  assert_non_null(text);
  memset(text, 'x', bytes);
  memcpy(text, head, strlen(head));
  text[strlen(head)] = '#'; /* the rest is a comment */
  text[bytes]        = '\0';
  return text;
}

/* Reference: 16 KiB of text; past it an error, never a cut. */
static void
a_chart_may_have_16_kib_and_not_a_byte_more(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  char *const most = chart_of(CHART_MAX, two_bars);
  char *const more = chart_of(CHART_MAX + 1, three_bars);
  char *const much = chart_of(40000, three_bars);
  scene_send(&s, 0, "chart", most);
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "chart"), most);
  form_is(&s, 2, "C7");
  TEXT(scene_ask(&s, "problem"), "");
  const char *const too_long[] = {more, much};
  for (int i = 0; i < 2; ++i) {
    scene_send(&s, 0, "chart", too_long[i]);
    scene_play(&s, 64, 16);
    HAS(scene_told(&s, "problem"), "16"); /* says what the limit is */
    assert_null(scene_told(&s, "chart"));
    TEXT(scene_ask(&s, "chart"), most);
    form_is(&s, 2, "C7");
    scene_chart(&s, three_bars);
    scene_chart(&s, most);
  }
  free(much);
  free(more);
  free(most);
  scene_end(&s);
}

/* ---- types, subjects, ill-made messages ---- */

typedef enum { AS_INT, AS_FLOAT, AS_BOOL, AS_URID, AS_TUPLE, AS_CHUNK, AS_OBJECT, KINDS } As;

static void
value_forge(Letter *const l, const As as)
{
  LV2_Atom_Forge_Frame  frame;
  LV2_Atom_Forge *const f = &l->forge;
  switch (as) {
  case AS_INT:
    lv2_atom_forge_int(f, 7);
    break;
  case AS_FLOAT:
    lv2_atom_forge_float(f, 0.5F);
    break;
  case AS_BOOL:
    lv2_atom_forge_bool(f, true);
    break;
  case AS_URID:
    lv2_atom_forge_urid(f, 3);
    break;
  case AS_TUPLE:
    lv2_atom_forge_tuple(f, &frame);
    lv2_atom_forge_string(f, two_bars, (uint32_t)strlen(two_bars));
    lv2_atom_forge_pop(f, &frame);
    break;
  case AS_CHUNK:
    lv2_atom_forge_atom(f, sizeof(two_bars), rl_host_map(l->host, LV2_ATOM__Chunk));
    lv2_atom_forge_write(f, two_bars, sizeof(two_bars));
    break;
  default:
    lv2_atom_forge_object(f, &frame, 0, 3);
    lv2_atom_forge_pop(f, &frame);
    break;
  }
}

static char *
property_uri(const char *const name)
{
  static char uri[64];
  snprintf(uri, sizeof(uri), "urn:reedlamp:%s", name);
  return uri;
}

static void
a_value_of_the_wrong_type_changes_nothing_and_is_a_problem(void **state)
{
  static Letter letter;
  Scene         s;
  (void)state;
  scene_begin(&s);
  for (size_t i = 0; i < COUNT(properties) - 1; ++i) {
    for (As as = AS_INT; as < KINDS; ++as) {
      scene_send(&s, 0, "osc_to", "127.0.0.1:9911"); /* nothing is wrong with anything */
      scene_send(&s, 0, "practice", "");
      scene_send(&s, 0, "plan", "");
      scene_send(&s, 0, "take", "");
      scene_chart(&s, three_bars);
      char *const before = strdup(scene_ask(&s, properties[i]));
      letter_begin(&letter, &s, LV2_PATCH__Set);
      letter_key(&letter, LV2_PATCH__property);
      letter_urid(&letter, property_uri(properties[i]));
      letter_key(&letter, LV2_PATCH__value);
      value_forge(&letter, as);
      letter_send(&letter, 0);
      scene_forget(&s);
      scene_play(&s, 64, 16);
      HAS(scene_told(&s, "problem"), properties[i]);
      TEXT(scene_ask(&s, properties[i]), before);
      form_is(&s, 3, "D7");
      scene_send(&s, 0, "chart", two_bars); /* so that the next one is new */
      scene_settle(&s);
      free(before);
    }
  }
  scene_end(&s);
}

/* LV2 atom: a String is NUL-terminated, but hosts have been seen to leave the NUL out. */
static void
a_text_without_its_nul_is_read_to_its_end(void **state)
{
  static Letter letter;
  Scene         s;
  (void)state;
  scene_begin(&s);
  letter_begin(&letter, &s, LV2_PATCH__Set);
  letter_key(&letter, LV2_PATCH__property);
  letter_urid(&letter, "urn:reedlamp:chart");
  letter_key(&letter, LV2_PATCH__value);
  lv2_atom_forge_atom(&letter.forge, (uint32_t)strlen(two_bars),
                      rl_host_map(s.host, LV2_ATOM__String));
  lv2_atom_forge_write(&letter.forge, two_bars, (uint32_t)strlen(two_bars));
  letter_send(&letter, 0);
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "chart"), two_bars);
  scene_end(&s);
}

/* Reference: readable only. */
static void
the_problem_cannot_be_written(void **state)
{
  static Letter letter;
  Scene         s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, three_bars);
  static const char *const texts[] = {"", "hello",
                                      "a text that is a good deal longer than that one"};
  for (size_t i = 0; i < COUNT(texts); ++i) {
    scene_send(&s, 0, "problem", texts[i]);
    scene_play(&s, 64, 16);
    HAS(scene_told(&s, "problem"), "read"); /* it says so */
    TEXT(scene_ask(&s, "chart"), three_bars);
    scene_chart(&s, two_bars);
    scene_chart(&s, three_bars);
  }
  letter_begin(&letter, &s, LV2_PATCH__Set);
  letter_key(&letter, LV2_PATCH__property);
  letter_urid(&letter, "urn:reedlamp:problem");
  letter_key(&letter, LV2_PATCH__value);
  lv2_atom_forge_int(&letter.forge, 3);
  letter_send(&letter, 0);
  scene_play(&s, 64, 16);
  HAS(scene_told(&s, "problem"), "read");
  scene_end(&s);
}

static void
patch_send(Scene *const s, const char *const type, const char *const subject,
           const char *const text)
{
  static Letter letter;
  letter_begin(&letter, s, type);
  if (subject) {
    letter_key(&letter, LV2_PATCH__subject);
    letter_urid(&letter, subject);
  }
  letter_key(&letter, LV2_PATCH__property);
  letter_urid(&letter, "urn:reedlamp:chart");
  if (text) {
    letter_key(&letter, LV2_PATCH__value);
    lv2_atom_forge_string(&letter.forge, text, (uint32_t)strlen(text));
  }
  letter_send(&letter, 0);
}

static void
a_message_for_somebody_else_is_left_alone(void **state)
{
  static const char *const own[] = {STEREO, MONO};
  (void)state;
  for (size_t i = 0; i < COUNT(own); ++i) {
    Scene              s;
    const RlHostChoice choice = scene_choice(own[i]);
    scene_open(&s, &choice);
    rl_host_activate(s.host);
    scene_settle(&s);
    scene_chart(&s, three_bars);
    patch_send(&s, LV2_PATCH__Set, "urn:example:other", two_bars);
    patch_send(&s, LV2_PATCH__Get, "urn:example:other", NULL);
    scene_play(&s, 64, 16);
    assert_int_equal(s.tolds, 0);
    form_is(&s, 3, "D7");
    scene_settle(&s);
    patch_send(&s, LV2_PATCH__Get, own[i], NULL);
    scene_play(&s, 64, 16);
    TEXT(scene_told(&s, "chart"), three_bars);
    patch_send(&s, LV2_PATCH__Set, own[i], two_bars);
    scene_play(&s, 64, 16);
    TEXT(scene_told(&s, "chart"), two_bars);
    form_is(&s, 2, "C7");
    scene_end(&s);
  }
}

static void
messages_with_parts_missing_are_left_alone(void **state)
{
  static Letter letter;
  Scene         s;
  (void)state;
  scene_begin(&s);
  patch_send(&s, LV2_PATCH__Set, NULL, NULL); /* no value */
  patch_send(&s, LV2_PATCH__Delete, NULL, two_bars);
  letter_begin(&letter, &s, LV2_PATCH__Set); /* no property */
  letter_key(&letter, LV2_PATCH__value);
  lv2_atom_forge_string(&letter.forge, two_bars, (uint32_t)strlen(two_bars));
  letter_send(&letter, 0);
  letter_begin(&letter, &s, LV2_PATCH__Set); /* a property that is no URID */
  letter_key(&letter, LV2_PATCH__property);
  lv2_atom_forge_string(&letter.forge, "urn:reedlamp:chart", 18);
  letter_key(&letter, LV2_PATCH__value);
  lv2_atom_forge_string(&letter.forge, two_bars, (uint32_t)strlen(two_bars));
  letter_send(&letter, 0);
  scene_play(&s, 64, 16);
  assert_int_equal(s.tolds, 0);
  form_is(&s, 12, "G7");
  scene_end(&s);
}

static uint32_t dice = 1;

static uint32_t
chance(const uint32_t below)
{
  dice = dice * 1664525U + 1013904223U; /* Numerical Recipes' quick generator */
  return (uint32_t)(((uint64_t)dice * below) >> 32U);
}

/* Bytes changed, sizes wrong, ends cut off, in messages that were good. What scene_run() checks
   holds, and a sanitizer sees no byte read that was not sent. */
static void
garbled_messages_do_no_harm(void **state)
{
  static Letter letter;
  Scene         s;
  (void)state;
  scene_begin(&s);
  for (int i = 0; i < 20000; ++i) {
    letter_begin(&letter, &s, LV2_PATCH__Set);
    letter_key(&letter, LV2_PATCH__property);
    letter_urid(&letter, property_uri(properties[chance(COUNT(properties))]));
    letter_key(&letter, LV2_PATCH__value);
    lv2_atom_forge_string(&letter.forge, two_bars, chance((uint32_t)strlen(two_bars)));
    const uint32_t size = letter.at.atom.size;
    lv2_atom_forge_pop(&letter.forge, &letter.frame);
    for (uint32_t k = 1 + chance(3); k > 0; --k) {
      letter.at.bytes[8 + chance(size)] = (uint8_t)(chance(2) ? chance(256) : 0xFF * chance(2));
    }
    letter.at.atom.size  = chance(4) ? size : chance(size);
    uint8_t *const exact = (uint8_t *)malloc(8 + (size_t)letter.at.atom.size);
    memcpy(exact, letter.at.bytes, 8 + (size_t)letter.at.atom.size);
    rl_host_send(s.host, "control", 0, (const LV2_Atom *)exact);
    free(exact);
    scene_run(&s, 16);
    if (i % 500 == 0) {
      scene_forget(&s);
    }
  }
  scene_send(&s, 0, "osc_to", "127.0.0.1:9911");
  scene_send(&s, 0, "practice", "");
  scene_send(&s, 0, "plan", "");
  scene_send(&s, 0, "take", "");
  scene_chart(&s, three_bars);
  form_is(&s, 3, "D7");
  scene_end(&s);
}

/* ---- files ---- */

static char folder[200];

static const char *
file_with(const char *const name, const char *const text, const size_t bytes)
{
  static char path[256];
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  FILE *const file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(text, 1, bytes, file), bytes);
  assert_int_equal(fclose(file), 0);
  return path;
}

/* Nobody ever writes into it. */
static const char *
pipe_with(const char *const name)
{
  static char path[256];
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  assert_int_equal(mkfifo(path, 0600), 0);
  return path;
}

static int
folder_make(void **const state)
{
  const char *const where = getenv("TMPDIR");
  (void)state;
  snprintf(folder, sizeof(folder), "%.150s/reedlamp-XXXXXX", where ? where : "/tmp");
  return mkdtemp(folder) ? 0 : -1;
}

static int
folder_remove(void **const state)
{
  static const char *const names[] = {"good.chart",  "bad.chart",   "most.chart", "more.chart",
                                      "empty.chart", "bytes.chart", "a.pipe"};
  (void)state;
  for (size_t i = 0; i < COUNT(names); ++i) {
    char path[256];
    snprintf(path, sizeof(path), "%s/%s", folder, names[i]);
    unlink(path);
  }
  return rmdir(folder);
}

static void
a_chart_file_is_read_and_its_chart_told(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  const char *const path = file_with("good.chart", two_bars, strlen(two_bars));
  scene_send(&s, 0, "chart_file", path);
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "chart_file"), path);
  TEXT(scene_told(&s, "chart"), two_bars);
  form_is(&s, 2, "C7");
  TEXT(scene_ask(&s, "problem"), "");
  char *const most = chart_of(CHART_MAX, three_bars);
  scene_send(&s, 0, "chart_file", file_with("most.chart", most, CHART_MAX));
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "chart"), most);
  free(most);
  scene_end(&s);
}

static void
a_chart_file_that_cannot_be_used_changes_nothing_and_the_problem_names_it(void **state)
{
  static const char not_text[] = {'|', ' ', 'I', '7', ' ', '|', (char)0xFF, (char)0xFE, 0, 1};
  Scene             s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, three_bars);
  char *const more = chart_of(CHART_MAX + 1, two_bars);
  for (int i = 0; i < 9; ++i) {
    char path[256];
    snprintf(path, sizeof(path), "%s",
             i == 0   ? file_with("bad.chart", "key: C\n| I7 | H7 |\n", 19)
             : i == 1 ? file_with("more.chart", more, CHART_MAX + 1)
             : i == 2 ? file_with("empty.chart", "", 0)
             : i == 3 ? file_with("bytes.chart", not_text, sizeof(not_text))
             : i == 4 ? folder
             : i == 5 ? "/no-such-folder/a.chart"
             : i == 6 ? "/dev/zero"
             : i == 7 ? pipe_with("a.pipe")
                      : "no-such-file.chart");
    scene_send(&s, 0, "chart_file", path);
    scene_play(&s, 64, 16);
    HAS(scene_told(&s, "problem"), path);
    if (i == 0) {
      HAS(scene_told(&s, "problem"), "line 2, bar 2");
    }
    assert_null(scene_told(&s, "chart"));
    TEXT(scene_ask(&s, "chart_file"), "");
    TEXT(scene_ask(&s, "chart"), three_bars);
    form_is(&s, 3, "D7");
    scene_settle(&s);
  }
  free(more);
  scene_send(&s, 0, "chart_file", file_with("good.chart", two_bars, strlen(two_bars)));
  scene_play(&s, 64, 16);
  TEXT(scene_told(&s, "problem"), "");
  form_is(&s, 2, "C7");
  scene_end(&s);
}

/* LV2 atom: a Path in an event goes to fopen() as it is. */
static void
a_relative_path_is_one_from_where_the_host_works(void **state)
{
  Scene s;
  char  home[4096];
  (void)state;
  scene_begin(&s);
  file_with("good.chart", two_bars, strlen(two_bars));
  assert_non_null(getcwd(home, sizeof(home)));
  assert_int_equal(chdir(folder), 0);
  scene_send(&s, 0, "chart_file", "good.chart");
  scene_play(&s, 64, 16);
  assert_int_equal(chdir(home), 0);
  TEXT(scene_told(&s, "chart"), two_bars);
  scene_end(&s);
}

/* The chart in force is no longer the file's. */
static void
a_chart_that_is_typed_takes_the_file_s_place(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_send(&s, 0, "chart_file", file_with("good.chart", two_bars, strlen(two_bars)));
  scene_settle(&s);
  scene_send(&s, 0, "chart", three_bars);
  scene_settle(&s);
  TEXT(scene_ask(&s, "chart_file"), "");
  form_is(&s, 3, "D7");
  scene_end(&s);
}

static void
a_path_longer_than_any_is_a_problem_and_no_more(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  char *const path = (char *)malloc(30001);
  for (size_t length = 4090; length <= 30000; length = length < 4100 ? length + 1 : length * 3) {
    memset(path, 'p', length);
    path[0]      = '/';
    path[length] = '\0';
    scene_settle(&s);
    scene_send(&s, 0, "chart_file", path);
    scene_play(&s, 64, 16);
    assert_non_null(scene_told(&s, "problem"));
    assert_true(strlen(scene_told(&s, "problem")) > 0);
    TEXT(scene_ask(&s, "chart_file"), "");
    scene_chart(&s, two_bars);
    scene_chart(&s, three_bars);
  }
  free(path);
  scene_end(&s);
}

/* ---- addresses ---- */

static void
addresses_are_taken_and_told(void **state)
{
  static const char *const good[] = {"127.0.0.1:9000", "10.0.0.7:9911 10.0.0.8:9912",
                                     "stage.local:7000", "239.0.0.1:9911 127.0.0.1:9911"};
  Scene                    s;
  (void)state;
  scene_begin(&s);
  for (size_t i = 0; i < COUNT(good); ++i) {
    scene_send(&s, 0, "osc_to", good[i]);
    scene_play(&s, 64, 16);
    TEXT(scene_told(&s, "osc_to"), good[i]);
    TEXT(scene_ask(&s, "problem"), "");
  }
  form_is(&s, 12, "G7");
  scene_end(&s);
}

/* Reference: osc_to holds space-separated host:port; problem says what is wrong with the last
 * address. */
static void
an_address_that_is_none_is_a_problem(void **state)
{
  static const char *const bad[] = {
    "localhost", "127.0.0.1:", "127.0.0.1:99999", "127.0.0.1:port", "127.0.0.1:9911 nonsense", ":"};
  Scene s;
  (void)state;
  scene_begin(&s);
  for (size_t i = 0; i < COUNT(bad); ++i) {
    scene_send(&s, 0, "osc_to", bad[i]);
    scene_play(&s, 64, 16);
    check_about = bad[i];
    assert_true(strlen(scene_ask(&s, "problem")) > 0);
    form_is(&s, 12, "G7");
    scene_send(&s, 0, "osc_to", "127.0.0.1:9911");
    scene_settle(&s);
  }
  scene_end(&s);
}

/* Reference: empty when nothing is wrong with the last chart or address. */
static void
a_good_address_empties_the_problem_of_a_bad_one(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  char *const far = (char *)malloc(20001);
  memset(far, 'a', 20000);
  far[20000] = '\0';
  scene_send(&s, 0, "osc_to", far);
  scene_play(&s, 64, 16);
  HAS(scene_told(&s, "problem"), "osc_to");
  TEXT(scene_ask(&s, "osc_to"), "127.0.0.1:9911");
  scene_send(&s, 0, "osc_to", "127.0.0.1:9000");
  scene_play(&s, 64, 16);
  TEXT(scene_ask(&s, "problem"), "");
  free(far);
  scene_end(&s);
}

static void
a_good_address_does_not_excuse_a_bad_chart(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_send(&s, 0, "chart", "| H7 |");
  scene_settle(&s);
  scene_send(&s, 0, "osc_to", "127.0.0.1:9000");
  scene_settle(&s);
  HAS(scene_ask(&s, "problem"), "line 1, bar 1");
  scene_end(&s);
}

static void
a_good_chart_does_not_excuse_a_bad_address(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_send(&s, 0, "osc_to", "nowhere");
  scene_settle(&s);
  scene_send(&s, 0, "chart", two_bars);
  scene_settle(&s);
  HAS(scene_ask(&s, "problem"), "nowhere");
  form_is(&s, 2, "C7");
  scene_send(&s, 0, "chart", "| H7 |"); /* both are wrong: both are said */
  scene_settle(&s);
  HAS(scene_ask(&s, "problem"), "nowhere");
  HAS(scene_ask(&s, "problem"), "line 1, bar 1");
  HAS(scene_ask(&s, "problem"), "; osc_to"); /* and can be told apart */
  scene_send(&s, 0, "osc_to", "127.0.0.1:9911");
  scene_send(&s, 0, "chart", three_bars);
  scene_settle(&s);
  TEXT(scene_ask(&s, "problem"), "");
  scene_end(&s);
}

/* ---- many at once ---- */

static void
of_many_sets_in_one_block_the_last_holds(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  for (int round = 0; round < 20; ++round) {
    for (int i = 0; i < 200; ++i) {
      char chart[64];
      snprintf(chart, sizeof(chart), "title: %d\n| C7 |%s\n", i, i % 2 ? " D7 |" : "");
      scene_send(&s, i, "chart", i % 5 == 3 ? "| H7 |" : chart);
    }
    scene_run(&s, 256);
    scene_play(&s, 64, 16);
    TEXT(scene_told(&s, "chart"), "title: 199\n| C7 | D7 |\n");
    form_is(&s, 2, "C7");
    TEXT(scene_ask(&s, "problem"), "");
    scene_chart(&s, three_bars);
  }
  scene_send(&s, 0, "chart", two_bars); /* the last good one, and what is wrong with the last */
  scene_send(&s, 1, "chart", "| H7 |");
  scene_run(&s, 16);
  scene_play(&s, 64, 16);
  HAS(scene_told(&s, "problem"), "line 1, bar 1");
  form_is(&s, 2, "C7");
  scene_end(&s);
}

/* Charts as long as they may be, more of them than fit between two turns of the worker: what was
   set last must not be lost without a word. */
static void
of_many_long_charts_in_one_block_the_last_holds_or_is_a_problem(void **state)
{
  (void)state;
  for (int many = 1; many <= 6; ++many) {
    Scene s;
    scene_begin(&s);
    for (int i = 1; i <= many; ++i) {
      char *const chart = chart_of(CHART_MAX, i < many ? two_bars : three_bars);
      scene_send(&s, 0, "chart", chart);
      free(chart);
    }
    scene_play(&s, 256, 16);
    const char *const told    = scene_told(&s, "chart");
    const char *const problem = scene_told(&s, "problem");
    if (!(told && !strncmp(told, three_bars, strlen(three_bars))) && !(problem && problem[0])) {
      fail_msg("the last of %d is lost", many);
    }
    scene_end(&s);
  }
}

/* ---- workers ---- */

static void
whenever_the_worker_works_charts_come_and_targets_too(void **state)
{
  static const RlHostWorker workers[] = {RL_HOST_AFTER, RL_HOST_AT_ONCE, RL_HOST_THREADED,
                                         RL_HOST_NONE};
  (void)state;
  for (size_t w = 0; w < COUNT(workers); ++w) {
    Scene        s;
    RlHostChoice choice = scene_choice(STEREO);
    choice.worker       = workers[w];
    scene_open(&s, &choice);
    rl_host_activate(s.host);
    for (int i = 0; i < 50; ++i) {
      const char *const chart = i % 2 ? two_bars : three_bars;
      scene_forget(&s);
      scene_send(&s, 0, "chart", chart);
      scene_await(&s, "chart", chart);
      form_is(&s, i % 2 ? 2 : 3, i % 2 ? "C7" : "D7");
    }
    scene_send(&s, 0, "chart", "| H7 |");
    for (int i = 0; i < 10000 && !(scene_told(&s, "problem") && scene_told(&s, "problem")[0]);
         ++i) {
      const struct timespec pause = {0, 1000000};
      scene_run(&s, 16);
      nanosleep(&pause, NULL);
    }
    HAS(scene_told(&s, "problem"), "line 1, bar 1");
    form_is(&s, 2, "C7");
    rl_host_set(s.host, "harp_key", 5);
    for (int i = 0; i < 10000; ++i) {
      const struct timespec pause = {0, 1000000};
      scene_run(&s, 16);
      if (scene_last(&s)->hole) {
        break;
      }
      nanosleep(&pause, NULL);
    }
    assert_true(scene_last(&s)->hole > 0);
    scene_end(&s);
  }
}

static void
closed_while_work_is_waiting_nothing_is_left_behind(void **state)
{
  static const RlHostWorker workers[] = {RL_HOST_AFTER, RL_HOST_AT_ONCE, RL_HOST_THREADED,
                                         RL_HOST_NONE};
  (void)state;
  for (size_t i = 0; i < 30; ++i) { /* a sanitizer counts */
    Scene        s;
    RlHostChoice choice = scene_choice(STEREO);
    choice.worker       = workers[i / 2 % 4];
    scene_open(&s, &choice);
    if (i % 4) {
      rl_host_activate(s.host);
      for (size_t k = 0; k < i; ++k) {
        scene_send(&s, 0, "chart", k % 2 ? two_bars : three_bars);
        rl_host_set(s.host, "harp_key", (float)(k % 12));
        scene_run(&s, 16);
      }
    }
    scene_end(&s);
  }
}

/* ---- narrow ports ---- */

enum { GUARD = 64, GUARD_BYTE = 0xA5 };

typedef struct {
  _Alignas(8) uint8_t bytes[PORT_BYTES + GUARD];
  uint32_t capacity;
} Narrow;

static void
narrow_connect(Scene *const s, Narrow *const n, const char *const port, const uint32_t capacity)
{
  n->capacity = capacity;
  rl_host_connect(s->host, port, n->bytes, capacity);
}

/* A block, and nothing is written past the port's end (past its head, if it is shorter than that).
 */
static void
narrow_run(Scene *const s, Narrow *const n, const uint32_t frames)
{
  const uint32_t end = n->capacity < sizeof(LV2_Atom) ? (uint32_t)sizeof(LV2_Atom) : n->capacity;
  memset(n->bytes, GUARD_BYTE, end + GUARD);
  scene_run(s, frames);
  for (uint32_t i = end; i < end + GUARD; ++i) {
    if (n->bytes[i] != GUARD_BYTE) {
      fail_msg("of %u bytes the one at %u is written", n->capacity, i);
    }
  }
  const LV2_Atom *const atom = (const LV2_Atom *)(const void *)n->bytes;
  if (n->capacity >= sizeof(LV2_Atom)) {
    assert_true(sizeof(LV2_Atom) + atom->size <= n->capacity);
    assert_int_equal(atom->type, rl_host_map(s->host, LV2_ATOM__Sequence));
  }
}

static void
whatever_notify_holds_nothing_is_written_past_it(void **state)
{
  static Narrow notify;
  Scene         s;
  (void)state;
  scene_begin(&s);
  char *const long_chart = chart_of(3000, two_bars);
  for (uint32_t capacity = 0; capacity < 9000; capacity += capacity < 1600 ? 1 : 61) {
    const Report report = rolling_at(capacity % 40, 0.25);
    narrow_connect(&s, &notify, "notify", capacity);
    scene_report(&s, 3, &report);
    rl_host_send_get(s.host, 1, NULL);
    narrow_run(&s, &notify, 20000);
    scene_send(&s, 0, "chart", capacity % 3 ? long_chart : three_bars);
    for (int i = 0; i < 4; ++i) {
      narrow_run(&s, &notify, 5000);
    }
    scene_forget(&s);
  }
  free(long_chart);
  scene_end(&s);
}

static void
midi_out_is_an_empty_sequence_whatever_it_holds(void **state)
{
  static Narrow midi;
  Scene         s;
  (void)state;
  scene_begin(&s);
  for (uint32_t capacity = 0; capacity < 64; ++capacity) {
    narrow_connect(&s, &midi, "midi_out", capacity);
    narrow_run(&s, &midi, 100);
    const LV2_Atom *const atom = (const LV2_Atom *)(const void *)midi.bytes;
    assert_int_equal(atom->size, capacity < 16 ? 0 : sizeof(LV2_Atom_Sequence_Body));
  }
  scene_end(&s);
}

/* Hosts have been seen to give an atom output a few bytes, and to drop what is longer than 700. */
static void
what_did_not_fit_comes_later(void **state)
{
  static const uint32_t capacities[] = {0, 8, 16, 64, 700, 4096};
  static Narrow         notify;
  static Narrow         wide;
  (void)state;
  char *const chart = chart_of(3000, two_bars);
  for (size_t c = 0; c < COUNT(capacities); ++c) {
    Scene        s;
    const Report report = parked_at(1, 0);
    scene_begin(&s);
    narrow_connect(&s, &notify, "notify", capacities[c]);
    scene_send(&s, 0, "chart", "| H7 |"); /* a problem of under 200 bytes */
    narrow_run(&s, &notify, 16);
    scene_send(&s, 0, "chart", chart);
    scene_report(&s, 0, &report);
    for (int i = 0; i < 10; ++i) {
      narrow_run(&s, &notify, 16);
    }
    assert_int_equal(s.places > 0, capacities[c] >= 700);
    assert_int_equal(scene_told(&s, "problem") != NULL, capacities[c] >= 700);
    assert_int_equal(scene_told(&s, "chart") != NULL, capacities[c] >= 4096);
    narrow_connect(&s, &wide, "notify", PORT_BYTES);
    for (int i = 0; i < 4; ++i) {
      narrow_run(&s, &wide, 16);
    }
    TEXT(scene_told(&s, "chart"), chart); /* once, wherever */
    assert_int_equal(scene_times_told(&s, "chart"), 1);
    TEXT(scene_told(&s, "problem"), "");
    TEXT(scene_last(&s)->now, "F7");
    SAME(scene_last(&s)->bar, 2);
    SAME(scene_last(&s)->bars, 2);
    scene_end(&s);
  }
  free(chart);
}

/* With room for one Place a block, beats that come faster are told late, but the last one is told.
 */
static void
a_narrow_port_shows_the_newest_place(void **state)
{
  static Narrow notify;
  Scene         s;
  const Report  start = rolling_at(0, 0);
  (void)state;
  scene_begin(&s);
  narrow_connect(&s, &notify, "notify", 760);
  scene_report(&s, 0, &start);
  narrow_run(&s, &notify, 5 * 24000); /* five beats in one block */
  narrow_run(&s, &notify, 100);
  SAME(scene_last(&s)->bar, 2);
  NEAR(scene_last(&s)->beat, 2, 0.01);
  assert_true(s.places <= 3);
  scene_end(&s);
}

static void
an_input_that_is_no_sequence_is_not_read(void **state)
{
  static Narrow control;
  Scene         s;
  (void)state;
  scene_begin(&s);
  narrow_connect(&s, &control, "control", 4096);
  for (uint32_t i = 0; i < 200; ++i) {
    LV2_Atom *const atom = (LV2_Atom *)(void *)control.bytes;
    memset(control.bytes, (int)(i * 37 % 256), sizeof(control.bytes));
    atom->type = i % 3 ? i : rl_host_map(s.host, LV2_ATOM__Sequence);
    atom->size = i % 3 ? 4000 : i % 24;
    scene_run(&s, 100);
  }
  scene_chart(&s, two_bars);
  form_is(&s, 2, "C7");
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_get_of_one_property_tells_that_one),
    cmocka_unit_test(a_get_of_nothing_in_particular_tells_everything_once),
    cmocka_unit_test(a_new_plugin_begins_with_a_blues_in_g_and_nothing_wrong),
    cmocka_unit_test(a_property_of_somebody_else_is_neither_told_nor_taken),
    cmocka_unit_test(a_good_chart_is_in_force_and_told_back),
    cmocka_unit_test(a_chart_with_an_error_changes_nothing_and_the_problem_says_where),
    cmocka_unit_test(the_chart_in_force_set_once_more_empties_the_problem),
    cmocka_unit_test(a_chart_may_have_16_kib_and_not_a_byte_more),
    cmocka_unit_test(a_value_of_the_wrong_type_changes_nothing_and_is_a_problem),
    cmocka_unit_test(a_text_without_its_nul_is_read_to_its_end),
    cmocka_unit_test(the_problem_cannot_be_written),
    cmocka_unit_test(a_message_for_somebody_else_is_left_alone),
    cmocka_unit_test(messages_with_parts_missing_are_left_alone),
    cmocka_unit_test(garbled_messages_do_no_harm),
    cmocka_unit_test(a_chart_file_is_read_and_its_chart_told),
    cmocka_unit_test(a_chart_file_that_cannot_be_used_changes_nothing_and_the_problem_names_it),
    cmocka_unit_test(a_relative_path_is_one_from_where_the_host_works),
    cmocka_unit_test(a_chart_that_is_typed_takes_the_file_s_place),
    cmocka_unit_test(a_path_longer_than_any_is_a_problem_and_no_more),
    cmocka_unit_test(addresses_are_taken_and_told),
    cmocka_unit_test(an_address_that_is_none_is_a_problem),
    cmocka_unit_test(a_good_address_empties_the_problem_of_a_bad_one),
    cmocka_unit_test(a_good_address_does_not_excuse_a_bad_chart),
    cmocka_unit_test(a_good_chart_does_not_excuse_a_bad_address),
    cmocka_unit_test(of_many_sets_in_one_block_the_last_holds),
    cmocka_unit_test(of_many_long_charts_in_one_block_the_last_holds_or_is_a_problem),
    cmocka_unit_test(whenever_the_worker_works_charts_come_and_targets_too),
    cmocka_unit_test(closed_while_work_is_waiting_nothing_is_left_behind),
    cmocka_unit_test(whatever_notify_holds_nothing_is_written_past_it),
    cmocka_unit_test(midi_out_is_an_empty_sequence_whatever_it_holds),
    cmocka_unit_test(what_did_not_fit_comes_later),
    cmocka_unit_test(a_narrow_port_shows_the_newest_place),
    cmocka_unit_test(an_input_that_is_no_sequence_is_not_read),
  };
  return cmocka_run_group_tests_name("plugin/properties", tests, folder_make, folder_remove);
}
