/* SPDX-License-Identifier: ISC */
/* Following by ear in the window: what it says and what to do, the key as heard, the recording's
   tuning, and what the buttons set. */
#include "place_reports.h"

#include "core/chart/chart.h"
#include "ui/draw/hearing.h"
#include "ui/layout/layout.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const char chart[] = "title: By the Sound\nkey: G\n| I7 | IV7 | I7 | V7 |\n";

typedef struct {
  RlController *c;
  float         port[RL_PORTS];
  int           sets;
} Window;

static void
set_port(void *const data, const RlPort port, const float value)
{
  Window *const w = data;
  w->port[port]   = value;
  ++w->sets;
}

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  (void)which;
  (void)text;
}

static void
open_by_ear(Window *const w)
{
  const RlControllerPlugin plugin = {w, set_port, set_text};
  memset(w, 0, sizeof(*w));
  w->c = rl_controller_new(&plugin, 1, NULL);
  for (int i = 0; i < RL_PORTS; ++i) {
    rl_controller_hear_port(w->c, (RlPort)i, rl_ports[i].standard);
  }
  rl_controller_hear_port(w->c, RL_PORT_CLOCK, 2);
  rl_controller_hear_text(w->c, RL_CHART, chart);
}

static const char *
said(Window *const w)
{
  static char words[RL_HEARING_WORDS_SIZE];
  rl_hearing_words(rl_controller_view(w->c), words);
  return words;
}

static bool
says(Window *const w, const char *const what)
{
  return strstr(said(w), what) != NULL;
}

static void
hear(Window *const w, const RlHearingState state, const int cents)
{
  rl_controller_hear_hearing(w->c, &(RlHearingReport){state, cents != 0, cents, 4, 0.97});
}

static void
every_state_says_what_to_do(void **const state)
{
  static const char *const corner[RL_HEARINGS] = {
    [RL_HEARING_WAITS] = "Play the recording:",   [RL_HEARING_LISTENS] = "Listening:",
    [RL_HEARING_LOST] = "Lost it: on bar 1",      [RL_HEARING_LATE] = "Too slow to listen:",
    [RL_HEARING_CHART] = "No ear for this form:", [RL_HEARING_CANNOT] = "It cannot listen here:"};
  Window w;
  (void)state;
  open_by_ear(&w);
  for (int i = 0; i < RL_HEARINGS; ++i) {
    const char *first, *second;
    hear(&w, (RlHearingState)i, 0);
    rl_hearing_corner(rl_controller_view(w.c), &first, &second);
    assert_true(*first && *second && strlen(said(&w)) > 8);
    assert_true(!corner[i] || !strcmp(first, corner[i]));
  }
  rl_controller_free(w.c);
}

static void
found_it_and_how_sure(void **const state)
{
  Window        w;
  RlPlaceReport at;
  (void)state;
  open_by_ear(&w);
  hear(&w, RL_HEARING_FOUND, 0);
  assert_true(says(&w, "Listening")); /* no place yet, no claim */
  at      = rl_report_at(rl_controller_view(w.c), RL_PART_CHORUS, 1, 2, 1, 0);
  at.sure = 0.95;
  rl_controller_hear_place(w.c, &at, 0);
  assert_string_equal(said(&w), "Found it, 95 % sure. ");
  rl_controller_free(w.c);
}

static void
the_tuning_says_by_how_much_to_shift(void **const state)
{
  Window w;
  (void)state;
  open_by_ear(&w);
  hear(&w, RL_HEARING_LISTENS, 22);
  assert_true(says(&w, "Recording 22 cents sharp of your harp: shift it by −22 cents."));
  hear(&w, RL_HEARING_LISTENS, -31);
  assert_true(says(&w, "Recording 31 cents flat of your harp: shift it by +31 cents."));
  hear(&w, RL_HEARING_LISTENS, 3); /* nobody minds */
  assert_false(says(&w, "cents"));
  rl_controller_free(w.c);
}

static void
the_key_as_heard_is_the_songs(void **const state)
{
  Window        w;
  RlPlaceReport at;
  (void)state;
  open_by_ear(&w);
  hear(&w, RL_HEARING_LISTENS, 0);
  assert_false(says(&w, "Key"));
  rl_controller_hear_port(w.c, RL_PORT_SONG_KEY, 13);
  assert_true(says(&w, "Key E, 97 % sure."));
  at          = rl_report_at(rl_controller_view(w.c), RL_PART_CHORUS, 1, 2, 1, 0);
  at.song_key = 4;
  rl_controller_hear_place(w.c, &at, 0);
  assert_int_equal(rl_spelling_class(rl_view_key(rl_controller_view(w.c)).tonic), 4);
  rl_controller_hear_hearing(w.c, &(RlHearingReport){.state = RL_HEARING_LISTENS, .key = -1});
  assert_true(says(&w, "not heard yet"));
  rl_controller_hear_port(w.c, RL_PORT_SONG_KEY, 12);
  assert_int_equal(rl_spelling_class(rl_view_key(rl_controller_view(w.c)).tonic), 7);
  rl_controller_free(w.c);
}

/* Presses the button of an action, if the picture has it. */
static bool
press(const Window *const w, const RlActionKind kind)
{
  RlLayout l;
  rl_layout_make(&l, rl_controller_view(w->c), 1280, 720);
  for (int i = 0; i < l.spots; ++i) {
    if (l.spot[i].action.kind == kind) {
      const RlRect at = l.spot[i].at;
      RlInput      in = {
             .kind = RL_INPUT_PRESS, .x = (at.x + at.w / 2) * l.unit, .y = (at.y + at.h / 2) * l.unit};
      rl_controller_input(w->c, &in, 0);
      in.kind = RL_INPUT_RELEASE;
      rl_controller_input(w->c, &in, 0);
      return true;
    }
  }
  return false;
}

static void
buttons_stand_where_the_hosts_bars_are_counted(void **const state)
{
  RlRect damage[RL_DAMAGE_MAX];
  Window w;
  (void)state;
  open_by_ear(&w);
  rl_controller_changed(w.c, 0, 1280, 720, damage);
  assert_true(press(&w, RL_ACTION_HALF_TIME));
  assert_true(w.port[RL_PORT_HALF_TIME] == 1);
  assert_true(press(&w, RL_ACTION_DOUBLE_TIME));
  assert_true(w.port[RL_PORT_DOUBLE_TIME] == 1);
  assert_true(press(&w, RL_ACTION_TAP)); /* taps say the tempo: the clock stays */
  assert_true(w.port[RL_PORT_TAP] == 1 && rl_controller_view(w.c)->port[RL_PORT_CLOCK] == 2);
  rl_controller_hear_port(w.c, RL_PORT_CLOCK, 0);
  rl_controller_changed(w.c, 1, 1280, 720, damage);
  assert_false(press(&w, RL_ACTION_HALF_TIME));
  rl_controller_free(w.c);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_state_says_what_to_do),
    cmocka_unit_test(found_it_and_how_sure),
    cmocka_unit_test(the_tuning_says_by_how_much_to_shift),
    cmocka_unit_test(the_key_as_heard_is_the_songs),
    cmocka_unit_test(buttons_stand_where_the_hosts_bars_are_counted),
  };
  return cmocka_run_group_tests_name("by ear", tests, NULL, NULL);
}
