/* SPDX-License-Identifier: ISC */
#include "hands.h"
#include "place_reports.h"
#include "plugin/protocol/take_edit.h"
#include "plugin/worker/take_list.h"
#include "ui/model/fields.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

const char twelve[] = "title: Ferry Street Slow Drag\nkey: G\n"
                      "| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 |\n"
                      "| ii7 | V7 | I7 | ii7 V7 |\n";

/* ---- a plugin that records what it is sent ---- */

Host host;

void
set_port(void *const data, const RlPort port, const float value)
{
  Host *const d = (Host *)data;
  if (d->sets < 256) {
    d->set[d->sets++] = (Set){port, value};
  }
}

/* The takes are edited by the plugin's own code. */
static void
take_edit(Host *const d, const char *const edit)
{
  static RlTakeListWorkspace room;
  const RlTakeList           none_played = {0};
  RlTakeVerb                 verb;
  RlSlice                    title;
  assert_true(rl_take_edit_read(rl_slice(edit), &verb, &title));
  if (rl_take_list_edit(&none_played, d->takes, rl_slice(edit), &room)) {
    memcpy(d->takes, room.result, sizeof(d->takes));
  } else {
    ++d->refused;
  }
}

/* Edits are undone by takes as a whole. */
static void
takes_set(Host *const d, const char *const text)
{
  static RlTakeListWorkspace room;
  static RlTakeList          none_played;
  assert_true(d->undoes);
  assert_true(rl_take_list_set(&none_played, d->takes, rl_slice(text), &room));
  memcpy(d->takes, room.result, sizeof(d->takes));
}

void
set_text(void *const data, const RlProperty which, const char *const text)
{
  Host *const d = (Host *)data;
  snprintf(d->text[which], sizeof(d->text[which]), "%s", text);
  if (which == RL_TAKE_EDIT) {
    take_edit(d, text);
  } else if (which == RL_TAKE) {
    takes_set(d, text);
  }
}

/* Until the phrases are read and written, as a window looks again and again. */
static void
phrases_wait(void)
{
  const RlViewPhrases *const p = &rl_controller_view(host.controller)->phrases;
  while (p->reading == RL_READ_GOING_ON || p->writing) {
    nanosleep(&(struct timespec){0, 200000}, NULL);
    rl_controller_look(host.controller, host.now);
  }
}

void
look(void)
{
  RlRect damage[RL_DAMAGE_MAX];
  rl_controller_look(host.controller, host.now);
  phrases_wait();
  rl_controller_changed(host.controller, host.now, host.width, host.height, damage);
}

void
open_controller(const char *const folder)
{
  const RlControllerPlugin plugin = {&host, set_port, set_text};
  memset(&host, 0, sizeof(host));
  host.width      = 1280;
  host.height     = 720;
  host.controller = rl_controller_new(&plugin, 1, folder);
  assert_non_null(host.controller);
  rl_controller_hear_text(host.controller, RL_CHART, twelve);
  rl_controller_hear_text(host.controller, RL_OSC_TO, "127.0.0.1:9911");
  look();
}

void
close_controller(void)
{
  rl_controller_free(host.controller);
}

RlPlaceReport
told_at(const RlPart part, const int chorus, const int bar, const int index, const int beat)
{
  return rl_report_at(rl_controller_view(host.controller), part, chorus, bar, index, beat);
}

void
tell(const RlPlaceReport t)
{
  rl_controller_hear_place(host.controller, &t, host.now);
  look();
}

/* ---- mouse and keyboard ---- */

bool
key(const int which)
{
  const bool taken =
    rl_controller_input(host.controller, &(RlInput){.kind = RL_INPUT_KEY, .key = which}, host.now);
  look();
  return taken;
}

void
folder_open(const char *const folder)
{
  open_controller(NULL);
  rl_controller_set_phrase_files(host.controller, folder, NULL);
  key('p');
}

void
type(const char *text)
{
  for (; *text; ++text) {
    key((unsigned char)*text);
  }
}

void
rub_out(const int times)
{
  for (int i = 0; i < times; ++i) {
    key(RL_KEY_BACKSPACE);
  }
}

RlLayout layout;

int
spot_of(const RlActionKind kind, const int value)
{
  rl_layout_make(&layout, rl_controller_view(host.controller), host.width, host.height);
  for (int i = layout.live; i < layout.spots; ++i) {
    if (layout.spot[i].action.kind == kind && layout.spot[i].action.value == value) {
      return i;
    }
  }
  return -1;
}

RlInput
on_spot(const RlInputKind input, const RlActionKind kind, const int value)
{
  const int spot = spot_of(kind, value);
  if (spot < 0) {
    fail_msg("no spot for action %d, %d", (int)kind, value);
  }
  const RlRect at = layout.spot[spot].at;
  return (RlInput){
    .kind = input, .x = (at.x + at.w / 2) * layout.unit, .y = (at.y + at.h / 2) * layout.unit};
}

void
click(const RlActionKind kind, const int value)
{
  const RlInput down = on_spot(RL_INPUT_PRESS, kind, value);
  RlInput       up   = down;
  up.kind            = RL_INPUT_RELEASE;
  rl_controller_input(host.controller, &down, host.now);
  look();
  rl_controller_input(host.controller, &up, host.now);
  look();
}

void
walk_to(const RlActionKind kind, const int value)
{
  for (int i = 0; i < RL_SPOTS_MAX; ++i) {
    const int at = spot_of(kind, value);
    assert_true(at >= 0);
    if (rl_controller_view(host.controller)->focus == at) {
      return;
    }
    key(RL_KEY_TAB);
  }
  fail_msg("Tab does not reach %d, %d", (int)kind, value);
}

void
walk_and_enter(const RlActionKind kind, const int value)
{
  walk_to(kind, value);
  key(RL_KEY_ENTER);
}

void (*const ways[WAYS])(RlActionKind, int) = {click, walk_and_enter};

float
last_set(const RlPort port)
{
  for (int i = host.sets - 1; i >= 0; --i) {
    if (host.set[i].port == port) {
      return host.set[i].value;
    }
  }
  fail_msg("%s was not set", rl_ports[port].symbol);
  return 0;
}

void
library_open(void)
{
  static char       phrases[4096];
  const char *const top = getenv("RL_TEST_DATA");
  snprintf(phrases, sizeof(phrases), "%s/presets/phrases", top ? top : ".");
  rl_controller_set_phrase_files(host.controller, phrases, NULL);
}

void
plan_told(void)
{
  static char text[sizeof(host.text[0])];
  memcpy(text, host.text[RL_PLAN], sizeof(text));
  rl_controller_hear_text(host.controller, RL_PLAN, text);
  look();
}

void
file_write(const char *const path, const char *const text)
{
  FILE *const file = fopen(path, "w");
  assert_non_null(file);
  fputs(text, file);
  assert_int_equal(fclose(file), 0);
}

void
takes_come(const char *const takes)
{
  snprintf(host.takes, sizeof(host.takes), "%s", takes);
  rl_controller_hear_text(host.controller, RL_TAKE, host.takes);
}

void
shift_arrow(const int which)
{
  rl_controller_input(host.controller,
                      &(RlInput){.kind = RL_INPUT_KEY, .key = which, .shift = true}, host.now);
  look();
}

void
practice_open_for(const int field)
{
  if (field >= RL_FIELD_SHOW_GROWS) {
    key('r');
    look();
  }
}

static bool
maker_begin(void *const data, const RlSheet *const sheet, RlText *const said)
{
  Maker *const m = (Maker *)data;
  (void)said;
  m->sheet = *sheet;
  ++m->asked;
  return true;
}

static bool
maker_ready(void *const data, RlText *const said)
{
  const Maker *const m = (Maker *)data;
  rl_text_add(said, m->slow ? "" : "It lies in \xFF\x1B, a folder.");
  return !m->slow;
}

void
maker_set(Maker *const m)
{
  rl_controller_set_sheets(host.controller, &(RlControllerSheets){m, maker_begin, maker_ready});
}

void
something(void)
{
  static const int keys[]  = {'s', 'n', 'h',          RL_KEY_ESCAPE, RL_KEY_TAB, RL_KEY_RIGHT,
                              'e', 'g', RL_KEY_ENTER, RL_KEY_DOWN,   'x',        RL_KEY_BACKSPACE};
  const RlPort     ports[] = {RL_PORT_HARP_KEY,   RL_PORT_TUNING,    RL_PORT_OVERBLOWS,
                              RL_PORT_BEND_DEPTH, RL_PORT_SONG_KEY,  RL_PORT_CLOCK,
                              RL_PORT_SEND_OSC,   RL_PORT_START_BAR, RL_PORT_ENABLED};
  const RlPort     port    = ports[rand() % 9];
  const RlInput    wheel   = {.kind   = RL_INPUT_SCROLL,
                              .x      = rand() % host.width,
                              .y      = rand() % host.height,
                              .scroll = rand() % 2 ? 1 : -1};
  RlInput          press   = {.kind = RL_INPUT_PRESS, .x = wheel.x, .y = wheel.y};
  switch (rand() % 8) {
  case 0:
  case 1:
    rl_controller_input(host.controller, &(RlInput){.kind = RL_INPUT_KEY, .key = keys[rand() % 12]},
                        host.now);
    break;
  case 2:
    rl_controller_hear_port(
      host.controller, port,
      rl_ports[port].low + (float)(rand() % (1 + (int)(rl_ports[port].high - rl_ports[port].low))));
    break;
  case 3:
    rl_controller_input(host.controller, &wheel, host.now);
    break;
  case 4:
    rl_controller_hear_text(host.controller, RL_PROBLEM,
                            rand() % 2 ? "" : "line 3, bar 7: no such chord");
    break;
  case 5:
    rl_controller_input(host.controller, &press, host.now);
    break;
  default:
    press.kind = RL_INPUT_RELEASE;
    rl_controller_input(host.controller, &press, host.now);
  }
}
