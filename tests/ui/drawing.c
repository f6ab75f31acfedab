/* SPDX-License-Identifier: ISC */
/* What drawing costs, in CPU time: a whole picture at 1280 by 720, and what is drawn again in each
   frame at 30 a second. Printed; no limit is checked. */
#include "deaf_plugin.h"
#include "ui/controller/controller.h"
#include "ui/layout/layout.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

enum { WIDTH = 1280, HEIGHT = 720, WHOLE = 50, BARS = 8, FRAMES = 15 };

static double
spent(void)
{
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* One frame as the window does it. Seconds. */
static double
frame_draw(RlController *const controller, cairo_t *const cr, const double now)
{
  RlRect       damage[RL_DAMAGE_MAX];
  const double before = spent();
  const int    n      = rl_controller_changed(controller, now, WIDTH, HEIGHT, damage);
  cairo_save(cr);
  for (int i = 0; i < n; ++i) {
    const double x = floor(damage[i].x);
    const double y = floor(damage[i].y);
    cairo_rectangle(cr, x, y, ceil(damage[i].x + damage[i].w) - x,
                    ceil(damage[i].y + damage[i].h) - y);
  }
  if (n) {
    cairo_clip(cr);
    rl_controller_draw(controller, cr, WIDTH, HEIGHT);
  }
  cairo_restore(cr);
  return spent() - before;
}

static const char plan[] =
  "bar 2: Coal Barge\nbar 4: Coal Barge\nbar 6: Coal Barge\nbar 7: Coal Barge\n\n"
  "X:1\nT:Coal Barge\nM:4/4\nL:1/8\nK:G\n\"D7\"A2 dc AF D2|\n";

static void
frames_time(RlController *const controller, cairo_t *const cr, const char *const what)
{
  RlPlaceReport t     = {.lit         = true,
                         .rolling     = true,
                         .part        = RL_PART_CHORUS,
                         .chorus      = 2,
                         .bars        = 12,
                         .beats       = 4,
                         .unit        = 4,
                         .song_key    = 7,
                         .tempo       = 120,
                         .sure        = 1,
                         .now         = "E7",
                         .now_degree  = "VI7",
                         .next        = "Am7",
                         .next_degree = "ii7"};
  double        sum   = 0;
  double        worst = 0;
  for (int bar = 0; bar < BARS; ++bar) {
    for (int beat = 0; beat < 4; ++beat) {
      const double now = (bar * 4 + beat) * 0.5;
      t.bar            = 1 + bar;
      t.beat           = 1 + beat;
      t.beats_to_next  = 4 - beat;
      rl_controller_hear_place(controller, &t, now);
      for (int f = 0; f < FRAMES; ++f) {
        const double cost = frame_draw(controller, cr, now + f / 30.0);
        sum += bar ? cost : 0; /* in the first bar fonts are opened */
        worst = bar && cost > worst ? cost : worst;
      }
    }
  }
  const double before = spent();
  for (int i = 0; i < WHOLE; ++i) {
    rl_controller_draw(controller, cr, WIDTH, HEIGHT);
  }
  printf("%s: whole picture %.2f ms; a frame %.2f ms in the mean, %.2f ms at worst (frames of the "
         "next chord filling all the time)\n",
         what, 1000 * (spent() - before) / WHOLE, 1000 * sum / ((BARS - 1) * 4 * FRAMES),
         1000 * worst);
}

/* A needle that moves forty times a second while a bend is held, the music standing still; then the
   trainer's. */
static void
needle_time(RlController *const controller, cairo_t *const cr, const double from,
            const char *const what)
{
  enum { NEEDLES = 300 };
  double sum   = 0;
  double worst = 0;
  for (int i = 0; i < NEEDLES; ++i) {
    const double         at     = from + i / 30.0;
    const RlPlayedReport played = {
      .count = 1, .note = {{4, RL_DRAW_1, 73, 40 * sin(i / 3.0)}}, .heard_at = at, .since = 999};
    rl_controller_hear_played(controller, &played, at);
    const double cost = frame_draw(controller, cr, at);
    sum += i > 9 ? cost : 0;
    worst = i > 9 && cost > worst ? cost : worst;
  }
  printf("%s: a frame %.2f ms in the mean, %.2f ms at worst\n", what, 1000 * sum / (NEEDLES - 10),
         1000 * worst);
}

static double
clock_now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Clicks on the first spot of that kind and value. */
static void
click(RlController *const c, const RlActionKind kind, const int value)
{
  static RlLayout l;
  RlRect          damage[RL_DAMAGE_MAX];
  rl_controller_changed(c, 0, WIDTH, HEIGHT, damage);
  rl_layout_make(&l, rl_controller_view(c), WIDTH, HEIGHT);
  for (int i = l.live; i < l.spots; ++i) {
    const RlRect at = l.spot[i].at;
    RlInput      in = {.kind = RL_INPUT_PRESS, .x = at.x + at.w / 2, .y = at.y + at.h / 2};
    if (l.spot[i].action.kind == kind && l.spot[i].action.value == value) {
      rl_controller_input(c, &in, 0);
      in.kind = RL_INPUT_RELEASE;
      rl_controller_input(c, &in, 0);
      return;
    }
  }
}

/* By the clock on the wall: what a player waits for. */
static void
list_time(RlController *const c, const char *const folder)
{
  RlRect       damage[RL_DAMAGE_MAX];
  const double from = clock_now();
  rl_controller_set_phrase_files(c, folder, NULL);
  rl_controller_input(c, &(RlInput){.kind = RL_INPUT_KEY, .key = 'p'}, 0);
  while (rl_controller_view(c)->phrases.reading == RL_READ_GOING_ON) {
    nanosleep(&(struct timespec){0, 1000000}, NULL);
    rl_controller_look(c, 0);
  }
  rl_controller_changed(c, 0, WIDTH, HEIGHT, damage);
  const double opened = clock_now();
  click(c, RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_LIST);
  click(c, RL_ACTION_LIST_OVER, 0);
  const double filtered = clock_now();
  const int    listed   = rl_view_listed(rl_controller_view(c));
  click(c, RL_ACTION_LIST_OVER, 0); /* all of them are sorted */
  for (int i = 0; i < RL_LIST_BY_EASE; ++i) {
    click(c, RL_ACTION_LIST_ORDER, 0);
  }
  const double sorted = clock_now();
  printf(
    "a library of %d phrases opens in %.0f ms, is filtered by what fits the bar in %.0f ms and "
    "sorted three times in %.0f ms: %d listed\n",
    rl_controller_view(c)->phrases.library->count, 1000 * (opened - from),
    1000 * (filtered - opened), 1000 * (sorted - filtered), listed);
}

/* Ten thousand phrases, a file each. */
static void
library_time(RlController *const controller)
{
  enum { FILES = 10000 };
  char folder[] = "/tmp/reedlamp-library-XXXXXX";
  char path[128];
  if (!mkdtemp(folder)) {
    return;
  }
  for (int i = 0; i < FILES; ++i) {
    snprintf(path, sizeof(path), "%s/%05d.abc", folder, i);
    FILE *const file = fopen(path, "w");
    if (file) {
      fprintf(file, "X:1\nT:Plank %d\nM:4/4\nL:1/8\nK:%c\n\"%c7\"G2 B2 d2 f2|e2 d2 ^c%d |\n", i,
              'A' + i % 7, 'A' + i * 3 % 7, 1 + i % 4);
      fclose(file);
    }
  }
  list_time(controller, folder);
  for (int i = 0; i < FILES; ++i) {
    snprintf(path, sizeof(path), "%s/%05d.abc", folder, i);
    unlink(path);
  }
  rmdir(folder);
}

int
main(void)
{
  RlController *const    controller = rl_controller_new(&deaf_plugin, 1, NULL);
  cairo_surface_t *const to         = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
  cairo_t *const         cr         = cairo_create(to);
  if (!controller) {
    return EXIT_FAILURE;
  }
  rl_controller_hear_text(controller, RL_CHART,
                          "title: Ferry Street Slow Drag\nkey: G\n| I7 | IV7 | I7 | I7 |\n"
                          "| IV7 | % | I7 | VI7 |\n| ii7 | V7 | I7 | ii7 V7 |\n");
  frames_time(controller, cr, "without phrases");
  rl_controller_hear_text(controller, RL_PLAN, plan);
  frames_time(controller, cr, "with a lane");
  needle_time(controller, cr, 1000, "a bend held");
  rl_controller_input(controller, &(RlInput){.kind = RL_INPUT_KEY, .key = 'd'}, 2000);
  needle_time(controller, cr, 2001, "the bend trainer");
  library_time(controller);
  rl_controller_free(controller);
  cairo_destroy(cr);
  cairo_surface_destroy(to);
  return EXIT_SUCCESS;
}
