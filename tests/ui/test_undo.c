/* SPDX-License-Identifier: ISC */
/* Undo and redo, over the plugin's own document: what was, byte for byte. */
#include "plugin/worker/session.h"
#include "ui/controller/controller.h"
#include "ui/controller/undo.h"
#include "ui/layout/layout.h"
#include "ui/model/fields.h"

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static const char song[]  = "title: Ferry Street Slow Drag\nkey: G\n"
                            "| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 |\n"
                            "| ii7 | V7 | I7 | ii7 V7 |\n";
static const char takes[] = "bar 9: Take 1\nbar 10 beat 3: Take 2\nbar 2: Lantern\n\n"
                            "X:1\nT:Take 1\nM:4/4\nL:1/8\nK:G\n\"D7\"D4 z4|\n\n"
                            "X:1\nT:Take 2\nM:4/4\nL:1/8\nK:G\n\"C7\"C2 E2 G2 c2|\n\n"
                            "X:1\nT:Lantern\nM:4/4\nL:1/8\nK:G\n\"G7\"B2 d2 z2 d2|\n";

/* ---- the plugin ---- */

static const RlProperty told[] = {RL_CHART, RL_CHART_FILE, RL_PLAN, RL_TAKE, RL_OSC_TO, RL_PROBLEM};

enum { TOLD = sizeof(told) / sizeof(told[0]) };

static RlDocument    document;
static RlRing        ring;
static RlSnapshot    now;
static unsigned      versions[RL_PROPERTIES];
static float         port[RL_PORTS];
static RlController *controller;
static double        seconds;
static char          home[64];

static void
ask(const RlAsk what, const RlProperty property, const void *const body, const size_t size)
{
  const RlAskHead head = {what, property, (uint32_t)size, document.master.bar_one_version};
  assert_true(rl_ring_write(&ring, &head, sizeof(head), body, (uint32_t)size));
}

/* Lets the worker work; the window hears what is new, as the plugin tells it. */
static void
plugin_works(void)
{
  rl_document_answer(&document, &ring);
  RlSnapshot *const snapshot = rl_outbox_pop(&document.pool.outbox);
  if (snapshot) {
    now = *snapshot;
    ask(RL_ASK_FREE, 0, &snapshot, sizeof(snapshot));
    rl_document_answer(&document, &ring);
  }
  for (int i = 0; controller && i < TOLD; ++i) {
    if (now.version[told[i]] != versions[told[i]]) {
      versions[told[i]] = now.version[told[i]];
      rl_controller_hear_text(controller, told[i], rl_snapshot_text(&now, told[i]));
    }
  }
}

static void
set_port(void *const data, const RlPort which, const float value)
{
  (void)data;
  port[which] = value;
}

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  ask(RL_ASK_PROPERTY, which, text, strlen(text));
}

/* Somebody else sets it. */
static void
others_set(const RlProperty which, const char *const text)
{
  set_text(NULL, which, text);
  plugin_works();
}

/* ---- the window ---- */

static RlLayout layout;

/* Until the phrases are read and written, as a window looks again and again. */
static void
phrases_wait(void)
{
  const RlViewPhrases *const p = &rl_controller_view(controller)->phrases;
  while (p->reading == RL_READ_GOING_ON || p->writing) {
    nanosleep(&(struct timespec){0, 200000}, NULL);
    rl_controller_look(controller, seconds);
  }
}

static void
look(void)
{
  RlRect damage[RL_DAMAGE_MAX];
  rl_controller_look(controller, seconds);
  phrases_wait();
  rl_controller_changed(controller, seconds, 1280, 720, damage);
  rl_layout_make(&layout, rl_controller_view(controller), 1280, 720);
}

static const RlView *
view(void)
{
  return rl_controller_view(controller);
}

static void
window_open(void)
{
  const RlControllerPlugin plugin  = {NULL, set_port, set_text};
  const char *const        bundles = getenv("RL_BUNDLES");
  char                     book[4096];
  controller = rl_controller_new(&plugin, 1, home);
  assert_non_null(controller);
  snprintf(book, sizeof(book), "%s/reedlamp.lv2/phrases.abc", bundles ? bundles : "build/lv2");
  rl_controller_set_phrase_files(controller, home, book);
  for (int i = 0; i < RL_PORTS; ++i) {
    rl_controller_hear_port(controller, (RlPort)i, port[i]);
  }
  memset(versions, 0, sizeof(versions));
  plugin_works();
  look();
}

static void
window_close(void)
{
  rl_controller_free(controller);
  controller = NULL;
}

static int
open_all(void **state)
{
  (void)state;
  /* thousands of files are written: in memory, where there is a place for that */
  snprintf(home, sizeof(home), "%s/reedlamp-undo-XXXXXX",
           access("/dev/shm", W_OK) ? "/tmp" : "/dev/shm");
  assert_non_null(mkdtemp(home));
  memset(&ring, 0, sizeof(ring));
  seconds = 0;
  assert_true(rl_document_open(&document));
  for (int i = 0; i < RL_PORTS; ++i) {
    port[i] = rl_ports[i].standard;
  }
  others_set(RL_CHART, song);
  others_set(RL_TAKE, takes);
  window_open();
  return 0;
}

static int
close_all(void **state)
{
  char command[128];
  (void)state;
  window_close();
  rl_document_answer(&document, &ring);
  rl_document_close(&document);
  snprintf(command, sizeof(command), "rm -r %s", home);
  return system(command); // NOLINT(cert-env33-c): a folder of ours
}

static void
input(const RlInput i)
{
  rl_controller_input(controller, &i, seconds);
  look();
}

static void
key(const int which)
{
  input((RlInput){.kind = RL_INPUT_KEY, .key = which});
}

static void
type(const char *text)
{
  for (; *text; ++text) {
    key((unsigned char)*text);
  }
}

static void
undo(void)
{
  input((RlInput){.kind = RL_INPUT_KEY, .key = 'z', .control = true});
}

static void
redo(void)
{
  input((RlInput){.kind = RL_INPUT_KEY, .key = 'Z', .control = true, .shift = true});
}

/* Clicks on the first spot of that kind and value; false if there is none. */
static bool
click(const RlActionKind kind, const int value)
{
  for (int i = layout.live; i < layout.spots; ++i) {
    const RlAction a  = layout.spot[i].action;
    const RlRect   at = layout.spot[i].at;
    RlInput        in = {.kind = RL_INPUT_PRESS,
                         .x    = (at.x + at.w / 2) * layout.unit,
                         .y    = (at.y + at.h / 2) * layout.unit};
    if (a.kind == kind && a.value == value) {
      input(in);
      in.kind = RL_INPUT_RELEASE;
      input(in);
      return true;
    }
  }
  return false;
}

static void
surely(const RlActionKind kind, const int value)
{
  if (!click(kind, value)) {
    fail_msg("no spot for action %d, %d", (int)kind, value);
  }
}

static void
bar_type(const int bar, const char *const text)
{
  surely(RL_ACTION_BAR_EDIT, bar);
  type(text);
  key(RL_KEY_ENTER);
}

#define STEP(test) cmocka_unit_test_setup_teardown(test, open_all, close_all)

/* ---- what there is ---- */

typedef struct {
  char  text[TOLD][RL_PROPERTY_MOST + 1];
  float port[RL_PORTS];
  char  files[1 << 16]; /* of phrases: their names, and what is in them */
} State;

/* What is kept of a take stays when that is undone: it is no part of the state. */
static int
changes_with_undo(const struct dirent *const file)
{
  return strstr(file->d_name, ".abc") && !strstr(file->d_name, "take-") &&
         !strstr(file->d_name, "lantern");
}

static void
files_take(State *const s)
{
  struct dirent **names;
  RlText          all   = rl_text_in(s->files, sizeof(s->files));
  const int       count = scandir(home, &names, changes_with_undo, alphasort);
  assert_true(count >= 0);
  for (int i = 0; i < count; ++i) {
    char path[512], bytes[8192];
    snprintf(path, sizeof(path), "%s/%s", home, names[i]->d_name);
    FILE *const file = fopen(path, "r");
    assert_non_null(file);
    const RlSlice text = {bytes, fread(bytes, 1, sizeof(bytes), file)};
    fclose(file);
    rl_text_add(&all, names[i]->d_name);
    rl_text_add(&all, ":\n");
    rl_text_add_slice(&all, text);
    free(names[i]);
  }
  free(names);
  assert_true(all.used + 8 < all.size);
}

static void
state_take(State *const s)
{
  plugin_works();
  for (int i = 0; i < TOLD; ++i) {
    const bool own = told[i] != RL_PROBLEM && told[i] != RL_CHART_FILE; /* else they follow */
    snprintf(s->text[i], sizeof(s->text[i]), "%s", !own ? "" : rl_snapshot_text(&now, told[i]));
  }
  memcpy(s->port, port, sizeof(s->port));
  look();
  files_take(s);
}

static bool
same(const State *const a, const State *const b)
{
  bool same = !strcmp(a->files, b->files);
  for (int i = 0; i < RL_PORTS; ++i) {
    same = same && a->port[i] == b->port[i];
  }
  for (int i = 0; i < TOLD; ++i) {
    same = same && !strcmp(a->text[i], b->text[i]);
  }
  return same;
}

static void
is_same(const State *const was, const char *const when)
{
  static State s;
  state_take(&s);
  for (int i = 0; i < TOLD; ++i) {
    if (strcmp(was->text[i], s.text[i]) != 0) {
      print_error("%s: \"%s\" is \"%s\"\n", when, was->text[i], s.text[i]);
    }
    assert_string_equal(was->text[i], s.text[i]);
  }
  assert_string_equal(was->files, s.files);
  for (int i = 0; i < RL_PORTS; ++i) {
    if (was->port[i] != s.port[i]) {
      fail_msg("%s: %s is %g, was %g", when, rl_ports[i].symbol, (double)s.port[i],
               (double)was->port[i]);
    }
  }
}

/* ---- edits by chance ---- */

static uint64_t chance_state;

static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33) % (unsigned)below);
}

static const char *
chords(void)
{
  static const char *const some[] = {"Am7 D7", "I7", "bVII7", "ii7 V7",    "%",
                                     "C7",     "v7", "IV7/I", "H7 is none"};
  return some[chance((int)(sizeof(some) / sizeof(some[0])))];
}

static int
some_bar(void)
{
  const RlForm *const f = view()->form;
  return chance(f->bars + f->ending_bars);
}

static void
edit_bar(void)
{
  if (click(RL_ACTION_BAR_EDIT, some_bar())) {
    type(chords());
    key(RL_KEY_ENTER);
  }
}

static void
edit_bars(void)
{
  if (click(RL_ACTION_BAR_EDIT, some_bar())) {
    const bool more = view()->form->bars < 6 || (view()->form->bars < 20 && chance(2));
    type(chords());
    click(more ? RL_ACTION_BAR_INSERT : RL_ACTION_BAR_DELETE, 0);
  }
}

static void
edit_chart(void)
{
  surely(RL_ACTION_CHART_TEXT, 0);
  key(RL_KEY_END);
  key(chance(3) ? 'a' + chance(26) : RL_KEY_BACKSPACE);
  click(RL_ACTION_EDIT_KEEP, 0);
}

static void
phrases_open(void)
{
  if (view()->screen != RL_SCREEN_PHRASES) {
    surely(RL_ACTION_PHRASES, 0);
  }
}

static void
edit_put(void)
{
  phrases_open();
  click(RL_ACTION_PHRASE_SELECT, chance(14));
  for (int i = chance(5); i; --i) {
    click(RL_ACTION_PHRASE_BAR, chance(2) ? 1 : -1);
  }
  click(RL_ACTION_PHRASE_MOVE, 0);
  click(RL_ACTION_PHRASE_PUT, 0);
}

static void
edit_clear(void)
{
  phrases_open();
  click(RL_ACTION_PHRASE_BAR, chance(2) ? 1 : -1);
  click(RL_ACTION_BAR_CLEAR, 0);
}

static void
edit_plan(void)
{
  phrases_open();
  surely(RL_ACTION_PLAN_TEXT, 0);
  if (chance(20)) {
    type("# ");
    key('a' + chance(26));
    key(RL_KEY_ENTER);
  } else {
    for (int i = 0; i < 4000; ++i) {
      input((RlInput){.kind = RL_INPUT_KEY, .key = RL_KEY_DELETE});
    }
  }
  click(RL_ACTION_EDIT_KEEP, 0);
}

/* Any edit of any note, by mouse and by keyboard. */
static void
notes_edit(void)
{
  static const RlInput keys[] = {
    {.kind = RL_INPUT_KEY, .key = RL_KEY_LEFT, .shift = true},
    {.kind = RL_INPUT_KEY, .key = RL_KEY_RIGHT, .shift = true},
    {.kind = RL_INPUT_KEY, .key = RL_KEY_UP, .shift = true},
    {.kind = RL_INPUT_KEY, .key = RL_KEY_DOWN, .shift = true},
    {.kind = RL_INPUT_KEY, .key = RL_KEY_UP, .control = true},
    {.kind = RL_INPUT_KEY, .key = RL_KEY_DOWN, .control = true},
    {.kind = RL_INPUT_KEY, .key = RL_KEY_DELETE},
    {.kind = RL_INPUT_KEY, .key = 'i'},
    {.kind = RL_INPUT_KEY, .key = 'v'},
    {.kind = RL_INPUT_KEY, .key = 'j'},
    {.kind = RL_INPUT_KEY, .key = 'u'},
    {.kind = RL_INPUT_KEY, .key = 'y'},
  };
  const int note = chance(6);
  if (chance(2)) {
    click(RL_ACTION_NOTE_PICK, note);
  } else {
    for (int i = 0; i < note; ++i) {
      click(RL_ACTION_NOTE_SELECT, 1);
    }
  }
  if (chance(2)) {
    click(RL_ACTION_NOTE_EDIT, chance(RL_NOTE_EDITS));
  } else {
    input(keys[chance((int)(sizeof(keys) / sizeof(keys[0])))]);
  }
}

static void
edit_take(void)
{
  phrases_open();
  click(RL_ACTION_PHRASE_SELECT, chance(4));
  if (!chance(12)) {
    click(RL_ACTION_TAKE_DISCARD, 0);
    return;
  }
  surely(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
  notes_edit();
}

static void
edit_keep(void)
{
  phrases_open();
  click(RL_ACTION_PHRASE_SELECT, chance(4));
  if (!chance(8)) {
    click(RL_ACTION_TAKE_KEEP, 0);
  }
}

/* A phrase of the library whose file is part of the state. */
static bool
select_phrase(void)
{
  const RlView *const v = view();
  phrases_open();
  if (!click(RL_ACTION_PHRASE_SELECT, chance(16)) || v->phrases.selected < 0 ||
      rl_view_is_take(v, v->phrases.selected)) {
    return false;
  }
  const char *const title = rl_view_phrase_title(v, v->phrases.selected);
  return strncmp(title, "Take", 4) != 0 && strncmp(title, "Lantern", 7) != 0;
}

static void
edit_notes(void)
{
  if (select_phrase()) {
    surely(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
    notes_edit();
  }
}

static void
edit_phrase(void)
{
  static const RlActionKind some[] = {
    RL_ACTION_PHRASE_TITLE, RL_ACTION_PHRASE_REMARK, RL_ACTION_PHRASE_FEEL, RL_ACTION_PHRASE_DELETE,
    RL_ACTION_PHRASE_COPY,  RL_ACTION_PHRASE_OVER,   RL_ACTION_PHRASE_HARD};
  if (select_phrase()) {
    const bool many = view()->phrases.library->count > 40;
    surely(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_ABOUT);
    surely(many ? RL_ACTION_PHRASE_DELETE : some[chance(7)], 0);
    if (view()->edit.kind != RL_EDIT_NOTHING) {
      type("heron ");
      key('a' + chance(26));
      key(RL_KEY_ENTER);
    }
  }
}

static void
edit_setting(void)
{
  const int field = chance(RL_FIELDS);
  if (click(RL_ACTION_FIELD_OPEN, field)) {
    if (field == RL_FIELD_OSC || field == RL_FIELD_START_BAR) {
      const char *const typed[] = {"7", "127.0.0.1:9001", "nowhere", "-3"};
      type(typed[chance(4)]);
      key(RL_KEY_ENTER);
    } else {
      click(RL_ACTION_FIELD_CHOOSE, chance(rl_field_choices((RlField)field)));
    }
  }
}

static void
edit_harp(void)
{
  surely(RL_ACTION_HARPS, 0);
  click(RL_ACTION_HARP_USE, chance(5));
  click(RL_ACTION_HARPS, 0);
}

static void
edit_by_chance(void)
{
  static void (*const edits[])(void) = {
    edit_bar,  edit_bar,   edit_bars,  edit_chart,  edit_put,   edit_put,     edit_clear,
    edit_plan, edit_take,  edit_take,  edit_take,   edit_keep,  edit_setting, edit_setting,
    edit_harp, edit_notes, edit_notes, edit_phrase, edit_phrase};
  seconds += 2;
  edits[chance((int)(sizeof(edits) / sizeof(edits[0])))]();
  for (int i = 0; i < 6 && view()->screen != RL_SCREEN_PLAY; ++i) {
    key(RL_KEY_ESCAPE);
  }
  key(RL_KEY_ESCAPE);
  assert_int_equal(view()->edit.kind, RL_EDIT_NOTHING);
  assert_int_equal(view()->screen, RL_SCREEN_PLAY);
}

/* REEDLAMP_EDITS: how many edits; REEDLAMP_FEW: a fifth of them, where everything is slow. */
static int
rounds(const int all)
{
  const char *const edits = getenv("REEDLAMP_EDITS");
  return edits                    ? (atoi(edits) + RL_UNDO_STEPS - 1) / RL_UNDO_STEPS
         : getenv("REEDLAMP_FEW") ? all / 5
                                  : all;
}

/* What was kept of takes goes: it would fill the list. */
static void
kept_remove(void)
{
  struct dirent **names;
  const int       count = scandir(home, &names, NULL, alphasort);
  for (int i = 0; i < count; ++i) {
    char path[512];
    snprintf(path, sizeof(path), "%s/%s", home, names[i]->d_name);
    if (strstr(path, ".abc") && !changes_with_undo(names[i])) {
      unlink(path);
    }
    free(names[i]);
  }
  free(names);
}

static void
takes_again(void)
{
  kept_remove();
  if (strlen(rl_snapshot_text(&now, RL_TAKE)) < 200) {
    others_set(RL_TAKE, takes);
    look();
  }
}

/* Each edit that changes anything is one step; each state comes back, and again. */
static void
ten_thousand_edits_are_undone_and_done_again(void **state)
{
  static State was[RL_UNDO_STEPS + 1];
  int          in_files = 0;
  (void)state;
  chance_state = 15;
  for (int r = 0; r < rounds(100); ++r) {
    int steps = 0;
    takes_again();
    state_take(&was[0]);
    while (steps < RL_UNDO_STEPS) {
      edit_by_chance();
      state_take(&was[steps + 1]);
      look();
      in_files += strcmp(was[steps].files, was[steps + 1].files) != 0;
      steps += !same(&was[steps], &was[steps + 1]);
    }
    for (int i = steps - 1; i >= 0; --i) {
      chance(2) ? undo() : surely(RL_ACTION_UNDO, 0);
      assert_string_equal(view()->notice, "");
      is_same(&was[i], "undone");
      look();
    }
    for (int i = 1; i <= steps; ++i) {
      chance(2) ? redo() : surely(RL_ACTION_REDO, 0);
      is_same(&was[i], "done again");
      look();
    }
  }
  assert_true(in_files > 5 * rounds(100)); /* of a hundred edits each */
}

/* The plugin answers late, and tells only the last of several. */
static void
a_plugin_that_answers_late_changes_nothing(void **state)
{
  static State before, after;
  (void)state;
  chance_state = 16;
  for (int r = 0; r < rounds(20); ++r) {
    takes_again();
    window_close();
    window_open();
    state_take(&before);
    for (int i = 0; i < RL_UNDO_STEPS; ++i) {
      const int what = chance(6);
      what == 0 ? undo() : what == 1 ? redo() : edit_by_chance();
      assert_string_equal(view()->notice, "");
      if (!chance(3)) {
        plugin_works();
      }
      look();
    }
    while (view()->redo) {
      redo();
    }
    state_take(&after);
    look();
    while (view()->undo) {
      undo();
      assert_string_equal(view()->notice, "");
    }
    is_same(&before, "all undone");
    look();
    while (view()->redo) {
      redo();
      assert_string_equal(view()->notice, "");
    }
    is_same(&after, "all done again");
    look();
  }
}

/* ---- steps ---- */

static void
wheel(const RlField field, const double by)
{
  for (int i = layout.live; i < layout.spots; ++i) {
    const RlRect at = layout.spot[i].at;
    if (layout.spot[i].action.kind == RL_ACTION_FIELD_OPEN &&
        layout.spot[i].action.value == (int)field) {
      input((RlInput){.kind   = RL_INPUT_SCROLL,
                      .x      = (at.x + at.w / 2) * layout.unit,
                      .y      = (at.y + at.h / 2) * layout.unit,
                      .scroll = by});
    }
  }
}

static void
one_turn_of_the_wheel_is_one_step(void **state)
{
  const float was = port[RL_PORT_SONG_KEY];
  (void)state;
  for (int i = 0; i < 4; ++i) {
    seconds += 0.5;
    wheel(RL_FIELD_SONG_KEY, 1);
  }
  const float first = port[RL_PORT_SONG_KEY];
  assert_true(first != was);
  seconds += 3;
  wheel(RL_FIELD_SONG_KEY, 1);
  undo();
  assert_true(port[RL_PORT_SONG_KEY] == first);
  undo();
  assert_true(port[RL_PORT_SONG_KEY] == was);
  assert_false(view()->undo);
  redo();
  assert_true(port[RL_PORT_SONG_KEY] == first);
  wheel(RL_FIELD_SONG_KEY, 1); /* within the second: but what was done again is a step of its own */
  undo();
  assert_true(port[RL_PORT_SONG_KEY] == first);
}

static void
there_and_back_is_no_step(void **state)
{
  (void)state;
  wheel(RL_FIELD_SONG_KEY, 1);
  wheel(RL_FIELD_SONG_KEY, -1);
  assert_false(view()->undo);
}

static void
triggers_are_no_steps(void **state)
{
  (void)state;
  surely(RL_ACTION_BAR_ONE, 0);
  seconds += 1;
  look();
  assert_false(view()->undo);
}

static void
a_harp_that_is_chosen_is_one_step(void **state)
{
  State before;
  (void)state;
  surely(RL_ACTION_FIELD_OPEN, RL_FIELD_TUNING);
  surely(RL_ACTION_FIELD_CHOOSE, 2);
  surely(RL_ACTION_FIELD_OPEN, RL_FIELD_REGISTER);
  surely(RL_ACTION_FIELD_CHOOSE, 0);
  state_take(&before);
  surely(RL_ACTION_HARPS, 0);
  surely(RL_ACTION_HARP_USE, 1);
  surely(RL_ACTION_HARPS, 0);
  undo();
  is_same(&before, "the harp before");
}

static void
a_hundred_steps_are_kept(void **state)
{
  (void)state;
  for (int i = 0; i < RL_UNDO_STEPS + 7; ++i) {
    seconds += 2;
    surely(RL_ACTION_FIELD_OPEN, RL_FIELD_COUNT_BY);
    surely(RL_ACTION_FIELD_CHOOSE, !(port[RL_PORT_COUNT_BY] > 0));
  }
  int undone = 0;
  for (; view()->undo; ++undone) {
    undo();
  }
  assert_int_equal(undone, RL_UNDO_STEPS);
}

static void
a_change_ends_what_could_be_done_again(void **state)
{
  (void)state;
  bar_type(0, "C7");
  plugin_works();
  look();
  undo();
  assert_true(view()->redo);
  plugin_works();
  look();
  bar_type(1, "D7");
  assert_false(view()->redo);
  plugin_works();
  assert_non_null(strstr(rl_snapshot_text(&now, RL_CHART), "| I7 | D7 |"));
}

static void
nothing_is_given_to_the_host_where_there_is_nothing_to_undo(void **state)
{
  const RlInput z = {.kind = RL_INPUT_KEY, .key = 'z', .control = true};
  (void)state;
  assert_true(rl_controller_input(controller, &z, 0));
}

static void
chart_file(const char *const name, const char *const text, char *const path, const size_t size)
{
  snprintf(path, size, "%s/%s", home, name);
  FILE *const file = fopen(path, "w");
  assert_non_null(file);
  assert_true(fputs(text, file) >= 0);
  assert_int_equal(fclose(file), 0);
}

static void
a_chart_that_is_opened_is_one_step(void **state)
{
  static const char other[] = "title: Another\nkey: C\n| I7 | IV7 |\n";
  char              path[128];
  (void)state;
  chart_file("another.chart", other, path, sizeof(path));
  bar_type(0, "C7");
  rl_undo_input(controller, seconds);
  rl_undo_open_chart(controller, path); /* the bar is still on its way */
  plugin_works();
  look();
  assert_string_equal(rl_snapshot_text(&now, RL_CHART), other);
  undo();
  plugin_works();
  look();
  assert_non_null(strstr(rl_snapshot_text(&now, RL_CHART), "| C7 | IV7 |"));
  undo();
  plugin_works();
  look();
  assert_string_equal(rl_snapshot_text(&now, RL_CHART), song);
  redo();
  redo();
  plugin_works();
  assert_string_equal(rl_snapshot_text(&now, RL_CHART), other);
  assert_string_equal(view()->notice, "");
}

/* A file that could not be opened is no step, and a chart told later is somebody else's. */
static void
a_chart_that_could_not_be_opened_is_no_step(void **state)
{
  char path[128];
  (void)state;
  chart_file("wrong.chart", "| H7 |\n", path, sizeof(path));
  rl_undo_input(controller, seconds);
  rl_undo_open_chart(controller, path);
  plugin_works();
  others_set(RL_CHART, "| I7 |\n");
  look();
  assert_false(view()->undo);
}

static void
what_is_typed_is_taken_back_and_brought_again(void **state)
{
  (void)state;
  surely(RL_ACTION_BAR_EDIT, 0);
  type("C7");
  undo();
  assert_string_equal(view()->edit.input->text, "I7");
  undo();
  assert_string_equal(view()->edit.input->text, "I7");
  redo();
  assert_string_equal(view()->edit.input->text, "C7");
  undo();
  key(RL_KEY_END);
  type(" V7");
  redo(); /* typed anew: there is nothing to bring again */
  assert_string_equal(view()->edit.input->text, "I7 V7");
  undo();
  assert_string_equal(view()->edit.input->text, "I7");
  assert_false(view()->undo);
}

/* ---- after a take is kept ---- */

static void
keep_first_take(void)
{
  phrases_open();
  surely(RL_ACTION_PHRASE_SELECT, 0);
  surely(RL_ACTION_TAKE_KEEP, 0);
  plugin_works();
  look();
  assert_int_equal(view()->edit.kind, RL_EDIT_TITLE);
  assert_string_equal(view()->edit.input->text, "Take 1");
  assert_true(view()->edit.input->all);
}

static const char *
selected_title(void)
{
  return rl_view_phrase_title(view(), view()->phrases.selected);
}

static bool
file_there(const char *const name)
{
  char path[128];
  snprintf(path, sizeof(path), "%s/%s", home, name);
  return !access(path, F_OK);
}

static void
a_take_that_is_kept_is_named_and_put_on_a_bar(void **state)
{
  (void)state;
  keep_first_take();
  assert_int_equal(view()->phrases.planned.bar, 2); /* as it was */
  type("Night Crossing");
  key(RL_KEY_ENTER);
  assert_int_equal(view()->edit.kind, RL_EDIT_NOTHING);
  assert_string_equal(selected_title(), "Night Crossing");
  assert_false(rl_view_is_take(view(), view()->phrases.selected));
  assert_true(file_there("night-crossing.abc"));
  assert_false(file_there("take-1.abc"));
  surely(RL_ACTION_PHRASE_PUT, 0);
  plugin_works();
  assert_memory_equal(rl_snapshot_text(&now, RL_PLAN), "bar 2: Night Crossing\n", 22);
}

static void
escape_leaves_the_title_and_a_click_elsewhere_keeps_it(void **state)
{
  (void)state;
  keep_first_take();
  type("Sand");
  key(RL_KEY_ESCAPE);
  assert_string_equal(selected_title(), "Take 1");
  assert_true(file_there("take-1.abc"));
  undo(); /* of keep: the take is back, the library has it all the same */
  plugin_works();
  look();
  assert_string_equal(rl_snapshot_text(&now, RL_TAKE), takes);
  surely(RL_ACTION_PHRASE_SELECT, 2);
  assert_string_equal(selected_title(), "Lantern");
  surely(RL_ACTION_TAKE_KEEP, 0);
  plugin_works();
  look();
  type("Bollard");
  surely(RL_ACTION_PHRASE_PUT, 0);
  plugin_works();
  look();
  assert_string_equal(selected_title(), "Bollard");
  assert_memory_equal(rl_snapshot_text(&now, RL_PLAN), "bar 2: Bollard\n", 15);
}

static void
a_title_that_cannot_be_is_refused_in_words(void **state)
{
  static const struct {
    const char *typed, *said;
  } wrong[] = {{" ", "write a title"},
               {"Coal Barge", "another phrase has that title"},
               {"Take 2", "another phrase has that title"},
               {"0123456789012345678901234567890123456789012345678901234567890123", "too long"}};
  (void)state;
  keep_first_take();
  for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); ++i) {
    for (int k = 0; k < 80; ++k) {
      key(RL_KEY_BACKSPACE);
    }
    type(wrong[i].typed);
    key(RL_KEY_ENTER);
    assert_int_equal(view()->edit.kind, RL_EDIT_TITLE);
    assert_non_null(strstr(view()->edit.error, wrong[i].said));
  }
  key(RL_KEY_ESCAPE);
  assert_string_equal(selected_title(), "Take 1");
  assert_true(file_there("take-1.abc"));
}

/* Whatever can be typed: the phrase stays, and can be put on a bar. */
static void
any_title_is_kept_or_refused(void **state)
{
  static const char *const some[] = {
    "50% off", "A, with the key",  "\"quoted\"", "#9",          "bar 3: other", "a\\b",
    "X:1",     "Tide, choruses 2", "..",         "/etc/passwd", "%%",           "T:T"};
  (void)state;
  for (size_t i = 0; i < sizeof(some) / sizeof(some[0]); ++i) {
    others_set(RL_TAKE, takes);
    look();
    phrases_open();
    surely(RL_ACTION_PHRASE_SELECT, 0);
    surely(RL_ACTION_TAKE_KEEP, 0);
    plugin_works();
    look();
    type(some[i]);
    key(RL_KEY_ENTER);
    const bool kept = view()->edit.kind == RL_EDIT_NOTHING;
    if (!kept) {
      assert_true(view()->edit.error[0]);
      key(RL_KEY_ESCAPE);
    } else {
      assert_string_equal(selected_title(), some[i]);
    }
    surely(RL_ACTION_PHRASE_PUT, 0);
    plugin_works();
    look();
    assert_string_equal(rl_snapshot_text(&now, RL_PROBLEM), "");
    assert_non_null(strstr(rl_snapshot_text(&now, RL_PLAN), "bar 2: "));
    surely(RL_ACTION_BAR_CLEAR, 0);
    plugin_works();
    look();
  }
}

static void
a_phrase_put_over_another_says_so_and_is_undone(void **state)
{
  char with_one[RL_PLAN_MAX + 1];
  (void)state;
  phrases_open();
  surely(RL_ACTION_PHRASE_SELECT, 0);
  surely(RL_ACTION_PHRASE_PUT, 0);
  assert_string_equal(view()->notice, "");
  plugin_works();
  look();
  snprintf(with_one, sizeof(with_one), "%s", rl_snapshot_text(&now, RL_PLAN));
  surely(RL_ACTION_PHRASE_SELECT, 1);
  surely(RL_ACTION_PHRASE_PUT, 0);
  assert_string_equal(view()->notice,
                      "Take 1 stood on bar 2; Take 2 stands there now. undo puts it back.");
  plugin_works();
  look();
  undo();
  plugin_works();
  assert_string_equal(rl_snapshot_text(&now, RL_PLAN), with_one);
}

/* ---- somebody else ---- */

static void
a_chart_that_somebody_else_changed_is_left_alone(void **state)
{
  static const char other[] = "title: Another\nkey: C\n| I7 | IV7 |\n";
  (void)state;
  bar_type(0, "C7");
  plugin_works();
  look();
  surely(RL_ACTION_FIELD_OPEN, RL_FIELD_COUNT_BY);
  surely(RL_ACTION_FIELD_CHOOSE, 1);
  others_set(RL_CHART, other);
  look();
  undo();
  assert_true(port[RL_PORT_COUNT_BY] == 0);
  assert_string_equal(view()->notice, "");
  undo();
  assert_string_equal(view()->notice, "Something else has changed the chart since: those steps can "
                                      "no longer be undone or done again.");
  plugin_works();
  assert_string_equal(rl_snapshot_text(&now, RL_CHART), other);
  assert_false(view()->undo);
  redo();
  assert_true(port[RL_PORT_COUNT_BY] == 1); /* the setting is nobody else's */
}

static void
a_chart_that_somebody_else_set_back_can_be_undone(void **state)
{
  char own[RL_CHART_MAX + 1];
  (void)state;
  bar_type(0, "C7");
  plugin_works();
  snprintf(own, sizeof(own), "%s", rl_snapshot_text(&now, RL_CHART));
  others_set(RL_CHART, "| I7 |\n");
  others_set(RL_CHART, own);
  look();
  undo();
  plugin_works();
  assert_string_equal(rl_snapshot_text(&now, RL_CHART), song);
}

static void
an_automated_setting_is_left_alone(void **state)
{
  (void)state;
  surely(RL_ACTION_FIELD_OPEN, RL_FIELD_DRAW_BENDS);
  surely(RL_ACTION_FIELD_CHOOSE, 0);
  rl_controller_hear_port(controller, RL_PORT_BEND_DEPTH, 2);
  look();
  undo();
  assert_true(view()->port[RL_PORT_BEND_DEPTH] == 2);
  assert_non_null(strstr(view()->notice, rl_ports[RL_PORT_BEND_DEPTH].name));
  assert_false(view()->undo);
}

/* What the plugin took down since, and what another window made of a take that is not meant. */
static void
takes_that_came_since_stay(void **state)
{
  static const char more[] = "taken: 6\nbar 10 beat 3: Take 2\nbar 2: Lantern\nbar 5: Take 3\n\n"
                             "X:1\nT:Take 2\nM:4/4\nL:1/8\nK:G\n\"C7\"C2 E2 G2 c2|\n\n"
                             "X:1\nT:Lantern\nM:4/4\nL:1/8\nK:G\n\"G7\"B2 d2 z2 d2|\n\n"
                             "X:1\nT:Take 3\nM:4/4\nL:1/8\nK:G\n\"G7\"G8|\n";
  RlPlan            there;
  RlPlanError       error;
  static RlPhrase   phrase;
  (void)state;
  phrases_open();
  surely(RL_ACTION_PHRASE_SELECT, 0);
  surely(RL_ACTION_TAKE_DISCARD, 0);
  plugin_works();
  others_set(RL_TAKE, more);
  look();
  for (int i = 0; i < 3; ++i) {
    undo();
    assert_string_equal(view()->notice, "");
    plugin_works();
    look();
    assert_true(rl_plan_read(rl_slice(rl_snapshot_text(&now, RL_TAKE)), &phrase, &there, &error));
    assert_int_equal(there.phrase_count, 4);
    assert_int_equal(rl_plan_find(&there, "Take 1"), 0);
    assert_int_equal(rl_plan_find(&there, "Take 3"), 3);
    assert_int_equal(there.taken, 6);
    redo();
    plugin_works();
    look();
    assert_string_equal(rl_snapshot_text(&now, RL_TAKE), more);
  }
}

static void
a_take_of_the_same_title_is_not_lost(void **state)
{
  static const char again[] = "taken: 4\nbar 3: Take 1\n\nX:1\nT:Take 1\nK:G\nG8|\n";
  (void)state;
  others_set(RL_TAKE, "bar 9: Take 1\n\nX:1\nT:Take 1\nK:G\nD8|\n");
  look();
  phrases_open();
  surely(RL_ACTION_PHRASE_SELECT, 0);
  surely(RL_ACTION_TAKE_DISCARD, 0);
  plugin_works();
  others_set(RL_TAKE, again);
  look();
  undo();
  assert_non_null(strstr(view()->notice, "Another take has its title now"));
  plugin_works();
  assert_string_equal(rl_snapshot_text(&now, RL_TAKE), again);
  assert_true(view()->undo); /* once that one is gone it can be undone */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    STEP(one_turn_of_the_wheel_is_one_step),
    STEP(there_and_back_is_no_step),
    STEP(triggers_are_no_steps),
    STEP(a_harp_that_is_chosen_is_one_step),
    STEP(a_hundred_steps_are_kept),
    STEP(a_change_ends_what_could_be_done_again),
    STEP(nothing_is_given_to_the_host_where_there_is_nothing_to_undo),
    STEP(what_is_typed_is_taken_back_and_brought_again),
    STEP(a_take_that_is_kept_is_named_and_put_on_a_bar),
    STEP(escape_leaves_the_title_and_a_click_elsewhere_keeps_it),
    STEP(a_title_that_cannot_be_is_refused_in_words),
    STEP(any_title_is_kept_or_refused),
    STEP(a_phrase_put_over_another_says_so_and_is_undone),
    STEP(a_chart_that_is_opened_is_one_step),
    STEP(a_chart_that_could_not_be_opened_is_no_step),
    STEP(a_chart_that_somebody_else_changed_is_left_alone),
    STEP(a_chart_that_somebody_else_set_back_can_be_undone),
    STEP(an_automated_setting_is_left_alone),
    STEP(takes_that_came_since_stay),
    STEP(a_take_of_the_same_title_is_not_lost),
    STEP(ten_thousand_edits_are_undone_and_done_again),
    STEP(a_plugin_that_answers_late_changes_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
