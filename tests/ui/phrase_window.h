/* SPDX-License-Identifier: ISC */
/* A controller with a library in a folder of the test's own, and hands for it: by mouse alone, by
   keyboard alone. Who includes this says how it is opened. */
#ifndef RL_TESTS_UI_PHRASE_WINDOW_H
#define RL_TESTS_UI_PHRASE_WINDOW_H

#include "scratch.h"

#include "ui/controller/controller.h"
#include "ui/layout/layout.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static RlController *controller;
static RlLayout      layout;
static double        now;

/** Opens it; the test's own. */
static int window_open(void **state);

static inline int
window_close(void **state)
{
  (void)state;
  rl_controller_free(controller);
  return 0;
}

static inline void
set_port(void *const data, const RlPort port, const float value)
{
  (void)data;
  rl_controller_hear_port(controller, port, value);
}

static inline const RlViewPhrases *
phrases(void)
{
  return &rl_controller_view(controller)->phrases;
}

/** Looks, and waits until nothing is being read or written. */
static inline void
look(void)
{
  RlRect damage[RL_DAMAGE_MAX];
  now += 0.1;
  do {
    rl_controller_look(controller, now);
    nanosleep(&(struct timespec){0, 100000}, NULL);
  } while (phrases()->reading == RL_READ_GOING_ON || phrases()->writing);
  rl_controller_look(controller, now);
  rl_controller_changed(controller, now, 1280, 720, damage);
  rl_layout_make(&layout, rl_controller_view(controller), 1280, 720);
}

static inline void
input(const RlInput i)
{
  rl_controller_input(controller, &i, now);
  look();
}

static inline void
key(const int which)
{
  input((RlInput){.kind = RL_INPUT_KEY, .key = which});
}

/** Where that can be done, -1: nowhere. */
static inline int
spot_find(const RlActionKind kind, const int value)
{
  for (int i = layout.live; i < layout.spots; ++i) {
    if (layout.spot[i].action.kind == kind && layout.spot[i].action.value == value) {
      return i;
    }
  }
  return -1;
}

static inline int
spot_of(const RlActionKind kind, const int value)
{
  const int spot = spot_find(kind, value);
  if (spot < 0) {
    fail_msg("no spot for action %d, %d", (int)kind, value);
  }
  return spot;
}

static inline void
by_mouse(const RlActionKind kind, const int value)
{
  const RlRect at = layout.spot[spot_of(kind, value)].at;
  RlInput      in = {.kind = RL_INPUT_PRESS,
                     .x    = (at.x + at.w / 2) * layout.unit,
                     .y    = (at.y + at.h / 2) * layout.unit};
  input(in);
  in.kind = RL_INPUT_RELEASE;
  input(in);
}

/** Tab from spot to spot, then Enter. */
static inline void
by_keyboard(const RlActionKind kind, const int value)
{
  const int spot = spot_of(kind, value);
  for (int i = 0; rl_controller_view(controller)->focus != spot && i < 200; ++i) {
    key(RL_KEY_TAB);
  }
  assert_int_equal(rl_controller_view(controller)->focus, spot);
  key(RL_KEY_ENTER);
}

static void (*const ways[])(RlActionKind kind, int value) = {by_mouse, by_keyboard};
static void (*act)(RlActionKind kind, int value)          = by_mouse;

/** Again from the beginning, by another way. */
static inline void
again(const int way)
{
  act = ways[way];
  window_close(NULL);
  window_open(NULL);
}

/** The index of the phrase of that title. */
static inline int
phrase_of(const char *const title)
{
  const RlView *const v = rl_controller_view(controller);
  for (int i = 0; i < rl_view_phrases(v); ++i) {
    if (!strcmp(rl_view_phrase_title(v, i), title)) {
      return i;
    }
  }
  fail_msg("no phrase %s", title);
  return -1;
}

#endif
