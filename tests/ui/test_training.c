/* SPDX-License-Identifier: ISC */
/* The bend trainer as a player uses it: a note is chosen by mouse and by keyboard, tries on it are
   timed and said, counted in the file, and those missed most are found again. Source:
   ui/window/WINDOW.md, core/trainer/README.md. */
#include "deaf_plugin.h"
#include "ui/controller/controller.h"
#include "ui/draw/pieces.h"
#include "ui/draw/trainer.h"
#include "ui/files/tries_file.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

enum { WIDTH = 1280, HEIGHT = 720, OFTEN = 40 };

static RlController *controller;
static char          folder[64];
static double        now;

static const RlView *
view(void)
{
  return rl_controller_view(controller);
}

static int
look(void)
{
  RlRect damage[RL_DAMAGE_MAX];
  return rl_controller_changed(controller, now, WIDTH, HEIGHT, damage);
}

static void
open_controller(void)
{
  controller = rl_controller_new(&deaf_plugin, 1, NULL);
  assert_non_null(controller);
  rl_controller_set_tries_folder(controller, folder);
  rl_controller_hear_text(controller, RL_CHART, "key: G\n| I7 | IV7 | I7 | V7 |\n");
  now = 50;
  look();
}

static int
folder_make(void **state)
{
  (void)state;
  snprintf(folder, sizeof(folder), "/tmp/reedlamp-tries-XXXXXX");
  return mkdtemp(folder) ? 0 : -1;
}

/* The file may still be being written. */
static int
folder_remove(void **state)
{
  (void)state;
  if (controller) {
    rl_controller_free(controller);
    controller = NULL;
  }
  for (int i = 0; i < 2000 && access(folder, F_OK) == 0; ++i) {
    char path[128];
    snprintf(path, sizeof(path), "%s/tries", folder);
    if (unlink(path)) {
      rmdir(path);
    }
    snprintf(path, sizeof(path), "%s/tries.lock", folder);
    unlink(path);
    rmdir(folder);
    nanosleep(&(struct timespec){0, 1000000}, NULL);
  }
  return access(folder, F_OK) == 0;
}

/* ---- a hand ---- */

static void
key(const int which)
{
  rl_controller_input(controller, &(RlInput){.kind = RL_INPUT_KEY, .key = which}, now);
  look();
}

static int
spot_of(const RlActionKind kind, const int value)
{
  static RlLayout layout;
  rl_layout_make(&layout, view(), WIDTH, HEIGHT);
  for (int i = layout.live; i < layout.spots; ++i) {
    if (layout.spot[i].action.kind == kind && layout.spot[i].action.value == value) {
      return i;
    }
  }
  return -1;
}

static void
click(const RlActionKind kind, const int value)
{
  static RlLayout layout;
  const int       spot = spot_of(kind, value);
  assert_true(spot >= 0);
  rl_layout_make(&layout, view(), WIDTH, HEIGHT);
  const RlRect at    = layout.spot[spot].at;
  RlInput      press = {.kind = RL_INPUT_PRESS,
                        .x    = (at.x + at.w / 2) * layout.unit,
                        .y    = (at.y + at.h / 2) * layout.unit};
  rl_controller_input(controller, &press, now);
  press.kind = RL_INPUT_RELEASE;
  rl_controller_input(controller, &press, now);
  look();
}

static int
note(const int hole, const RlTechnique technique)
{
  return hole * RL_TECHNIQUES + (int)technique;
}

static bool
aims_at(const int hole, const RlTechnique technique)
{
  const RlAim *const aim = &view()->trainer.on->aim;
  return aim->hole == hole && aim->technique == technique;
}

/* ---- a player ---- */

static void
hear(const int hole, const RlTechnique technique, const int midi, const double cents)
{
  const RlPlayedReport report = {.count    = hole > 0,
                                 .note     = {{hole, technique, midi, cents}},
                                 .sure     = 1,
                                 .heard_at = now + 1000}; /* another clock */
  rl_controller_hear_played(controller, &report, now);
}

/* A bend of draw 2 down one step (F4 on a C harp), held; then silence. */
static void
play(const double off, const double seconds)
{
  for (int i = 0; i < seconds * OFTEN; ++i) {
    hear(2, RL_DRAW_2, 65, off + (i % 2 ? 1 : -1));
    now += 1.0 / OFTEN;
    look();
  }
  hear(0, RL_BLOW, 0, 0);
  for (int i = 0; i < OFTEN; ++i) {
    now += 1.0 / OFTEN;
    look();
  }
}

/* Until the file says so of draw 2 bent down one step. */
static void
file_wait(const RlTriesOf of)
{
  RlTries tries = {0};
  for (int i = 0; i < 5000; ++i) {
    if (controller) {
      look();
    }
    assert_int_equal(rl_tries_file_read(folder, &tries), 0);
    if (tries.note[1][RL_DRAW_2].all == of.all) {
      assert_int_equal(tries.note[1][RL_DRAW_2].held, of.held);
      return;
    }
    nanosleep(&(struct timespec){0, 1000000}, NULL);
  }
  fail_msg("%d tries in the file", tries.note[1][RL_DRAW_2].all);
}

/* ---- what is shown ---- */

static void
a_bend_is_chosen_by_mouse_and_by_keyboard(void **state)
{
  (void)state;
  open_controller();
  click(RL_ACTION_TRAINER, 0);
  assert_int_equal(view()->screen, RL_SCREEN_TRAINER);
  assert_true(aims_at(4, RL_DRAW_1));
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  assert_true(aims_at(2, RL_DRAW_2));
  key(RL_KEY_ESCAPE);
  assert_int_equal(view()->screen, RL_SCREEN_PLAY);
  key('d');
  assert_true(aims_at(2, RL_DRAW_2));
  for (int i = 0; i < 60 && view()->focus != spot_of(RL_ACTION_AIM, note(8, RL_BLOW_1)); ++i) {
    key(RL_KEY_TAB);
  }
  key(RL_KEY_ENTER);
  assert_true(aims_at(8, RL_BLOW_1));
  key('d');
  assert_int_equal(view()->screen, RL_SCREEN_PLAY);
}

static void
a_held_bend_moves_the_needle_and_is_said(void **state)
{
  char lines[RL_TRAINER_LINES][RL_TRAINER_LINE_SIZE];
  (void)state;
  open_controller();
  key('d');
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  rl_trainer_words(view(), lines);
  assert_non_null(strstr(lines[1], "light-headed"));
  for (int i = 0; i < 20; ++i) {
    hear(2, RL_DRAW, 67, -5 * i);
    now += 1.0 / OFTEN;
    look();
  }
  assert_true(view()->trainer.sounds);
  assert_int_equal(rl_trainer_needle(view()), 105);
  play(6, 2);
  assert_false(view()->trainer.sounds);
  assert_int_equal(view()->trainer.on->count, 1);
  rl_trainer_words(view(), lines);
  assert_string_equal(lines[0], "Held 2.0 s within 20, 2.0 s within 10 cents");
  assert_non_null(strstr(lines[1], "From above in 0.5 s; in the mean 6 high"));
  assert_null(strstr(lines[2], "moderate")); /* not again once something was tried */
}

/* Nobody listens to the OSC: that lasts, and stood where the words of the try should. */
static void
a_problem_that_lasts_hides_no_try(void **state)
{
  RlRect damage[RL_DAMAGE_MAX];
  (void)state;
  open_controller();
  key('d');
  rl_controller_hear_text(controller, RL_PROBLEM,
                          "osc_to: 127.0.0.1:9911: nothing is listening there");
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  look();
  assert_true(rl_trainer_tells_problem(view()));
  hear(2, RL_DRAW_2, 65, 3);
  now += 0.2;
  const int n     = rl_controller_changed(controller, now, WIDTH, HEIGHT, damage);
  bool      again = false;
  for (int i = 0; i < n; ++i) { /* the words, with whatever stood there */
    again = again || (damage[i].w > 400 && damage[i].y + damage[i].h > HEIGHT * 0.6);
  }
  assert_true(again);
  assert_false(rl_trainer_tells_problem(view()));
}

/* A news that does not come again is no silence: the ear tells only what changes. */
static void
a_note_that_is_told_once_holds_until_its_end_is_told(void **state)
{
  (void)state;
  open_controller();
  key('d');
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  hear(2, RL_DRAW_2, 65, 3);
  for (int i = 0; i < 90; ++i) {
    now += 1.0 / 30;
    look();
  }
  assert_true(view()->trainer.on->now.seconds > 2.5F);
  hear(0, RL_BLOW, 0, 0);
  now += 0.5;
  look();
  assert_int_equal(view()->trainer.on->count, 1);
  assert_true(fabsf(view()->trainer.on->last[0].seconds - 3) < 0.1F);
}

static void
another_hole_is_no_try(void **state)
{
  (void)state;
  open_controller();
  key('d');
  click(RL_ACTION_AIM, note(3, RL_DRAW_1));
  play(0, 1);
  assert_int_equal(view()->trainer.on->count, 0);
  assert_true(view()->trainer.on->now.seconds == 0);
}

/* ---- counted ---- */

static void
tries_are_counted_in_the_file_and_those_missed_most_found(void **state)
{
  (void)state;
  open_controller();
  key('d');
  assert_int_equal(view()->trainer.missed, 0);
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  play(0, 1.5);
  play(60, 1);
  play(0, 1.5);
  play(0, 0.5);
  assert_int_equal(view()->trainer.on->count, 4);
  file_wait((RlTriesOf){4, 2});
  play(0, 1.5);
  rl_controller_free(controller); /* at once: the last one is kept all the same */
  controller = NULL;
  file_wait((RlTriesOf){5, 3});
  RlTries more              = {0};
  more.note[5][RL_OVERBLOW] = (RlTriesOf){9, 0}; /* this player does not overblow */
  more.note[3][RL_DRAW_1]   = (RlTriesOf){10, 2};
  more.note[1][RL_DRAW_2]   = (RlTriesOf){15, 12};
  assert_int_equal(rl_tries_file_add(folder, &more), 0);
  open_controller();
  key('d');
  assert_int_equal(view()->trainer.missed, 2);
  click(RL_ACTION_AIM, note(8, RL_BLOW_1));
  click(RL_ACTION_AIM_MISSED, 0);
  assert_true(aims_at(4, RL_DRAW_1));
  key('m');
  assert_true(aims_at(2, RL_DRAW_2));
  key('m');
  assert_true(aims_at(4, RL_DRAW_1));
}

static void
a_file_that_cannot_be_read_is_said_and_left_alone(void **state)
{
  char        path[128];
  struct stat there;
  (void)state;
  snprintf(path, sizeof(path), "%s/tries", folder);
  assert_int_equal(mkdir(path, 0700), 0); /* a folder in its place */
  open_controller();
  key('d');
  assert_non_null(strstr(view()->notice, "Your tries cannot be read: "));
  assert_non_null(strstr(view()->notice, folder));
  key(RL_KEY_ESCAPE);
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  play(0, 1.5);
  assert_int_equal(view()->trainer.on->count, 1);
  assert_int_equal(stat(path, &there), 0);
  assert_true(S_ISDIR(there.st_mode));
}

/* ---- harp and key ---- */

static void
another_harp_aims_anew(void **state)
{
  (void)state;
  open_controller();
  key('d');
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  play(0, 1);
  assert_int_equal(view()->trainer.on->count, 1);
  rl_controller_hear_port(controller, RL_PORT_HARP_KEY, 9);
  assert_true(aims_at(2, RL_DRAW_2));
  assert_int_equal(view()->trainer.on->aim.midi, 62); /* D4 on an A harp */
  assert_int_equal(view()->trainer.on->count, 0);
  rl_controller_hear_port(controller, RL_PORT_BEND_DEPTH, 1);
  assert_true(aims_at(4, RL_DRAW_1)); /* it cannot bend so far any more */
  rl_controller_hear_port(controller, RL_PORT_BEND_DEPTH, 0);
  assert_true(view()->trainer.on->aim.midi > 0);
}

static void
just_reeds_move_the_aim_at_a_plain_note(void **state)
{
  (void)state;
  open_controller();
  key('d');
  click(RL_ACTION_AIM, note(5, RL_DRAW));
  assert_true(view()->trainer.on->aim.cents == 0);
  click(RL_ACTION_AIM_TEMPER, 0);
  assert_true(fabsf(view()->trainer.on->aim.cents + 29.2F) < 0.1F);
  click(RL_ACTION_AIM_TEMPER, 0);
  assert_true(view()->trainer.on->aim.cents == 0);
}

/* ---- what must be drawn again ---- */

static void
a_needle_that_moves_draws_little_again(void **state)
{
  RlRect damage[RL_DAMAGE_MAX];
  (void)state;
  open_controller();
  key('d');
  click(RL_ACTION_AIM, note(2, RL_DRAW_2));
  for (int i = 0; i < 20; ++i) {
    hear(2, RL_DRAW_2, 65, i);
    now += 1.0 / 30;
    const int n    = rl_controller_changed(controller, now, WIDTH, HEIGHT, damage);
    double    area = 0;
    for (int k = 0; k < n; ++k) {
      area += damage[k].w * damage[k].h;
    }
    assert_true(n > 0);
    assert_true(i < 2 || area < 0.5 * WIDTH * HEIGHT);
  }
  now += 0.001;
  hear(2, RL_DRAW_2, 65, 19);
  look();
  hear(2, RL_DRAW_2, 65, 19);
  assert_int_equal(look(), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, folder_make, folder_remove)
    TEST(a_bend_is_chosen_by_mouse_and_by_keyboard),
    TEST(a_held_bend_moves_the_needle_and_is_said),
    TEST(a_problem_that_lasts_hides_no_try),
    TEST(a_note_that_is_told_once_holds_until_its_end_is_told),
    TEST(another_hole_is_no_try),
    TEST(tries_are_counted_in_the_file_and_those_missed_most_found),
    TEST(a_file_that_cannot_be_read_is_said_and_left_alone),
    TEST(another_harp_aims_anew),
    TEST(just_reeds_move_the_aim_at_a_plain_note),
    TEST(a_needle_that_moves_draws_little_again),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
