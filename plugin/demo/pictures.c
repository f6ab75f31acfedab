/* SPDX-License-Identifier: ISC */
#include "plugin/demo/pictures.h"

#include "plugin/demo/lifted.h"
#include "plugin/demo/phrases.h"
#include "plugin/demo/playing.h"
#include "plugin/demo/practising.h"

#include "ui/layout/layout.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* What a hand does before a picture is taken. */
typedef enum {
  NOTHING,
  STAGE,
  HARPS,
  WRONG_CHORD,
  PHRASES,
  PHRASES_STAGE,
  LIBRARY,
  EDIT,
  ABOUT,
  WAYS,
  LISTEN, /* to a take that was lifted */
  LIST,
  TAKE,
  LIFTED,
  CHARTS,
  NEW_CHART,
  TRAINER,
  CHORUS,
  PRACTICE,
  HEARD,
  HEARD_STAGE,
  LANDED,
  LANDED_STAGE
} Hand;

/* From this beat of that bar on; chorus 0: before anything is known. */
static const struct {
  const char *name;
  int         chorus, bar;
  double      beat;
  Hand        hand;
  int         width, height;
} moments[] = {
  {"1-press-play", 0, 0, 0, NOTHING, 1280, 720},
  {"2-first-bar", 1, 1, 1.05, NOTHING, 1280, 720},
  {"small", 1, 8, 3.2, NOTHING, 480, 320},
  {"3-next-chord", 2, 8, 3.2, NOTHING, 1280, 720},
  {"stage", 2, 8, 3.2, STAGE, 1920, 1080},
  {"4-five-chord", 2, 10, 1.5, NOTHING, 1280, 720},
  {"5-two-chords", 2, 12, 2.5, NOTHING, 1280, 720},
  {"7-phrases", 2, 4, 2.3, PHRASES, 1280, 720},
  {"phrases-stage", 2, 4, 2.3, PHRASES_STAGE, 1280, 720},
  {"phrases-small", 2, 4, 2.3, PHRASES, 480, 320},
  {"phrases-tall", 2, 4, 2.3, PHRASES, 360, 740},
  {"8-library", 2, 4, 2.4, LIBRARY, 1280, 720},
  {"library-small", 2, 4, 2.4, LIBRARY, 480, 320},
  {"library-tall", 2, 4, 2.4, LIBRARY, 360, 740},
  {"9-take", 2, 4, 2.5, TAKE, 1280, 720},
  {"take-small", 2, 4, 2.5, TAKE, 480, 320},
  {"take-tall", 2, 4, 2.5, TAKE, 360, 740},
  {"15-lifted", 2, 4, 2.5, LIFTED, 1280, 720},
  {"lifted-small", 2, 4, 2.5, LIFTED, 480, 320},
  {"lifted-tall", 2, 4, 2.5, LIFTED, 360, 740},
  {"edit", 2, 4, 2.5, EDIT, 1280, 720},
  {"edit-small", 2, 4, 2.5, EDIT, 480, 320},
  {"edit-tall", 2, 4, 2.5, EDIT, 360, 740},
  {"title-tags", 2, 4, 2.5, ABOUT, 1280, 720},
  {"title-tags-small", 2, 4, 2.5, ABOUT, 480, 320},
  {"make-it-fit", 2, 4, 2.5, WAYS, 1280, 720},
  {"make-it-fit-small", 2, 4, 2.5, WAYS, 480, 320},
  {"listen", 2, 4, 2.5, LISTEN, 1280, 720},
  {"listen-small", 2, 4, 2.5, LISTEN, 480, 320},
  {"listen-tall", 2, 4, 2.5, LISTEN, 360, 740},
  {"list", 2, 4, 2.5, LIST, 1280, 720},
  {"10-charts", 2, 10, 2.6, CHARTS, 1280, 720},
  {"charts-small", 2, 10, 2.6, CHARTS, 480, 320},
  {"charts-tall", 2, 10, 2.6, CHARTS, 360, 740},
  {"charts-key", 2, 10, 2.6, NEW_CHART, 1024, 768},
  {"error", 3, 5, 2.0, WRONG_CHORD, 1280, 720},
  {"6-which-harp", 3, 7, 1.0, HARPS, 1280, 720},
  {"12-heard", 2, 4, 2.6, HEARD, 1280, 720},
  {"heard-stage", 2, 4, 2.6, HEARD_STAGE, 1920, 1080},
  {"heard-small", 2, 4, 2.6, HEARD, 480, 320},
  {"heard-tall", 2, 4, 2.6, HEARD, 360, 740},
  {"13-landed", 2, 5, 1.4, LANDED, 1280, 720},
  {"landed-stage", 2, 5, 1.4, LANDED_STAGE, 1920, 1080},
  {"landed-small", 2, 5, 1.4, LANDED, 480, 320},
  {"11-bends", 3, 7, 2.0, TRAINER, 1280, 720},
  {"bends-small", 3, 7, 2.0, TRAINER, 480, 320},
  {"bends-tall", 3, 7, 2.0, TRAINER, 360, 740},
  {"chorus", 3, 7, 2.1, CHORUS, 1280, 720},
  {"chorus-tall", 3, 7, 2.1, CHORUS, 360, 740},
  {"14-practice", 3, 7, 2.2, PRACTICE, 1280, 720},
  {"practice-small", 3, 7, 2.2, PRACTICE, 480, 320},
  {"practice-tall", 3, 7, 2.2, PRACTICE, 360, 740},
  {"large", 3, 9, 2.2, NOTHING, 3840, 2160},
};

enum {
  MOMENTS    = sizeof(moments) / sizeof(moments[0]),
  BLUE_THIRD = 9 /* of what can be aimed at: draw 3 bent half a step on the C harp */
};

struct RlPictures {
  const char   *folder;
  RlController *controller;
  bool          taken[MOMENTS];
  bool          failed;
};

static void
set_port(void *const data, const RlPort port, const float value)
{
  (void)data; /* the demo's settings are the plugin's own */
  (void)port;
  (void)value;
}

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  (void)which;
  (void)text;
}

/* The button is in the pictures; nobody presses it. */
static bool
sheet_begin(void *const data, const RlSheet *const sheet, RlText *const said)
{
  (void)data;
  (void)sheet;
  rl_text_add(said, "no sheets here");
  return false;
}

static bool
sheet_ready(void *const data, RlText *const said)
{
  (void)data;
  (void)said;
  return false;
}

RlPictures *
rl_pictures_open(const char *const folder, const char *const book, const char *const charts)
{
  const RlControllerPlugin plugin = {NULL, set_port, set_text};
  RlPictures *const        p      = (RlPictures *)calloc(1, sizeof(RlPictures));
  if (p) {
    p->folder     = folder;
    p->controller = rl_controller_new(&plugin, 1, NULL);
  }
  if (p && p->controller) {
    rl_controller_set_phrase_files(p->controller, NULL, book);
    rl_controller_set_chart_files(p->controller, NULL, charts, NULL);
    rl_controller_set_sheets(p->controller, &(RlControllerSheets){NULL, sheet_begin, sheet_ready});
  }
  if (p && !p->controller) {
    free(p);
    return NULL;
  }
  return p;
}

void
rl_pictures_hear_place(RlPictures *const p, const RlPlaceReport *const told, const double seconds)
{
  rl_controller_hear_place(p->controller, told, seconds);
}

void
rl_pictures_hear_text(RlPictures *const p, const RlProperty which, const char *const text)
{
  rl_controller_hear_text(p->controller, which, text);
}

/* ---- a hand ---- */

static void
key(const RlPictures *const p, const int which, const double seconds)
{
  rl_controller_input(p->controller, &(RlInput){.kind = RL_INPUT_KEY, .key = which}, seconds);
}

static void
click(const RlPictures *const p, const RlRect at, const double unit, const double seconds)
{
  RlInput press = {
    .kind = RL_INPUT_PRESS, .x = (at.x + at.w / 2) * unit, .y = (at.y + at.h / 2) * unit};
  rl_controller_input(p->controller, &press, seconds);
  press.kind = RL_INPUT_RELEASE;
  rl_controller_input(p->controller, &press, seconds);
}

/* Clicks the bar that plays, types what is no chord, and Enter. */
static void
wrong_chord(const RlPictures *const p, const int width, const int height, const double seconds)
{
  static RlLayout     layout;
  const RlView *const view = rl_controller_view(p->controller);
  rl_layout_make(&layout, view, width, height);
  click(p, rl_layout_bar(&layout, rl_view_index(view)), layout.unit, seconds);
  for (int i = 0; i < 8; ++i) {
    key(p, RL_KEY_BACKSPACE, seconds);
  }
  for (const char *at = "H7"; *at; ++at) {
    key(p, *at, seconds);
  }
  key(p, RL_KEY_ENTER, seconds);
}

/* Until what is read in the background is there. The demo's time stands still meanwhile. */
static void
files_wait(const RlPictures *const p, const double seconds)
{
  const RlViewCharts *const shown = &rl_controller_view(p->controller)->charts;
  for (int i = 0; i < 5000 && (shown->reading || (shown->selected >= 0 && !shown->form)); ++i) {
    nanosleep(&(struct timespec){0, 1000000}, NULL);
    rl_controller_look(p->controller, seconds);
  }
}

/* Clicks where an action is. */
static void
click_on(const RlPictures *const p, const RlActionKind kind, const int moment, const int nth,
         const double seconds)
{
  static RlLayout layout;
  int             left = nth;
  RlRect          damage[RL_DAMAGE_MAX];
  rl_layout_make(&layout, rl_controller_view(p->controller), moments[moment].width,
                 moments[moment].height);
  rl_controller_changed(p->controller, seconds, moments[moment].width, moments[moment].height,
                        damage);
  for (int i = 0; i < layout.spots; ++i) {
    if (layout.spot[i].action.kind == kind && left-- == 0) {
      click(p, layout.spot[i].at, layout.unit, seconds);
      return;
    }
  }
}

/* Opens the charts, and looks at one; or asks for the key of a new one. */
static void
charts_open(const RlPictures *const p, const int moment, const double seconds)
{
  key(p, 'a', seconds);
  files_wait(p, seconds);
  click_on(p, RL_ACTION_CHART_SELECT, moment, 3, seconds);
  files_wait(p, seconds);
  if (moments[moment].hand == NEW_CHART) {
    click_on(p, RL_ACTION_CHART_NEW, moment, 0, seconds);
  }
}

/* Until the phrases are read; the song stands still meanwhile. */
static void
phrases_wait(const RlPictures *const p, const double seconds)
{
  while (rl_controller_view(p->controller)->phrases.reading == RL_READ_GOING_ON) {
    nanosleep(&(struct timespec){0, 200000}, NULL);
    rl_controller_look(p->controller, seconds);
  }
}

/* The phrases, and the buttons of a panel; of a take that was lifted, its notes. */
static void
panel_open(const RlPictures *const p, const int moment, const double seconds)
{
  const Hand what   = moments[moment].hand;
  const bool lifted = what == LIFTED;
  const int  button = lifted ? 0 : (int)what - EDIT - (what == LISTEN); /* a take has one less */
  if (lifted || what == LISTEN) {
    rl_controller_hear_text(p->controller, RL_TAKE, rl_lifted_take);
  }
  key(p, 'p', seconds);
  phrases_wait(p, seconds);
  click_on(p, RL_ACTION_PHRASE_PANEL, moment, button, seconds);
  if (lifted) {
    key(p, 'q', seconds); /* the first note that is not sure */
    rl_lifted_picture(p->controller);
  }
}

/* Somebody plays along: the plan, or what comes to the hand. */
static void
player_hear(const RlPictures *const p, const int moment, const double seconds)
{
  const Hand which = moments[moment].hand;
  const bool plays = which == HEARD || which == HEARD_STAGE;
  if (which == HEARD_STAGE || which == LANDED_STAGE) {
    key(p, 's', seconds);
  }
  rl_controller_hear_port(p->controller, RL_PORT_HARP_FROM, RL_HARP_FROM_TRACK);
  if (plays) {
    rl_controller_hear_text(p->controller, RL_PLAN, plan);
    rl_playing_phrase(p->controller, seconds);
  } else {
    rl_playing_landing(p->controller, seconds);
  }
}

static void
bends_try(const RlPictures *const p, const int moment, const double seconds)
{
  rl_controller_hear_port(p->controller, RL_PORT_HARP_FROM, RL_HARP_FROM_TRACK);
  key(p, 'd', seconds);
  click_on(p, RL_ACTION_AIM, moment, BLUE_THIRD, seconds);
  rl_playing_tries(p->controller, seconds);
}

/* A chorus has gone well: the line after it, and a step more than targets is shown. */
static void
chorus_end(const RlPictures *const p, const bool all, const double seconds)
{
  static char   lines[RL_PLAN_MAX];
  RlText        text = rl_text_in(lines, sizeof(lines));
  RlPlaceReport told = rl_controller_view(p->controller)->report;
  told.show          = RL_SHOW_CHORD;
  if (all) {
    key(p, 'r', seconds);
  }
  rl_practising_write(&text);
  rl_controller_hear_port(p->controller, RL_PORT_HARP_FROM, 1);
  rl_controller_hear_port(p->controller, RL_PORT_SHOW, RL_SHOW_TARGETS);
  rl_controller_hear_port(p->controller, RL_PORT_SHOW_GROWS, 1);
  rl_controller_hear_text(p->controller, RL_PRACTICE, lines);
  rl_controller_hear_place(p->controller, &told, seconds);
}

/* As if nobody had practised. */
static void
chorus_forget(const RlPictures *const p, const double seconds)
{
  RlPlaceReport told = rl_controller_view(p->controller)->report;
  told.show          = RL_SHOW_ALL;
  rl_controller_hear_port(p->controller, RL_PORT_HARP_FROM, 0);
  rl_controller_hear_port(p->controller, RL_PORT_SHOW, RL_SHOW_ALL);
  rl_controller_hear_port(p->controller, RL_PORT_SHOW_GROWS, 0);
  rl_controller_hear_text(p->controller, RL_PRACTICE, "");
  rl_controller_hear_place(p->controller, &told, seconds);
}

/* Phrases on the lane, or the library with them or with takes. */
static void
phrases_show(const RlPictures *const p, const Hand which, const double seconds)
{
  const bool take = which == TAKE;
  if (which == PHRASES_STAGE) {
    key(p, 's', seconds);
  }
  rl_controller_hear_text(p->controller, take ? RL_TAKE : RL_PLAN, take ? takes : plan);
  if (take || which == LIBRARY) {
    key(p, 'p', seconds);
  }
  if (which == LIBRARY) {
    key(p, RL_KEY_TAB, seconds);
  }
}

static void
hand(const RlPictures *const p, const int moment, const double seconds)
{
  switch (moments[moment].hand) {
  case STAGE:
    key(p, 's', seconds);
    break;
  case HARPS:
    key(p, 'h', seconds);
    break;
  case PHRASES_STAGE:
  case LIBRARY:
  case TAKE:
  case PHRASES:
    phrases_show(p, moments[moment].hand, seconds);
    break;
  case LIFTED:
  case EDIT:
  case ABOUT:
  case WAYS:
  case LISTEN:
  case LIST:
    panel_open(p, moment, seconds);
    break;
  case CHARTS:
  case NEW_CHART:
    charts_open(p, moment, seconds);
    break;
  case TRAINER:
    bends_try(p, moment, seconds);
    break;
  case HEARD:
  case HEARD_STAGE:
  case LANDED:
  case LANDED_STAGE:
    player_hear(p, moment, seconds);
    break;
  case PRACTICE:
  case CHORUS:
    chorus_end(p, moments[moment].hand == PRACTICE, seconds);
    break;
  case WRONG_CHORD:
    wrong_chord(p, moments[moment].width, moments[moment].height, seconds);
    break;
  default:
    break;
  }
}

/* ---- pictures ---- */

static void
shoot(RlPictures *const p, const int moment, const double seconds)
{
  const int              w  = moments[moment].width;
  const int              h  = moments[moment].height;
  cairo_surface_t *const to = cairo_image_surface_create(CAIRO_FORMAT_RGB24, w, h);
  cairo_t *const         cr = cairo_create(to);
  RlRect                 damage[RL_DAMAGE_MAX];
  char                   path[4096];
  rl_controller_changed(p->controller, seconds, w, h, damage); /* lays it out for the hand */
  hand(p, moment, seconds);
  phrases_wait(p, seconds);
  rl_controller_look(p->controller, seconds);
  rl_controller_draw(p->controller, cr, w, h);
  snprintf(path, sizeof(path), "%s/window-%s.png", p->folder, moments[moment].name);
  if (cairo_surface_write_to_png(to, path) != CAIRO_STATUS_SUCCESS) {
    fprintf(stderr, "%s: cannot be written\n", path);
    p->failed = true;
  }
  if (moments[moment].hand != NOTHING) {
    key(p, RL_KEY_ESCAPE, seconds);
    key(p, RL_KEY_ESCAPE, seconds); /* where something is asked that takes the first */
    rl_controller_hear_text(p->controller, RL_PLAN, "");
    rl_controller_hear_text(p->controller, RL_TAKE, "");
    if (moments[moment].hand == CHORUS || moments[moment].hand == PRACTICE) {
      chorus_forget(p, seconds);
    }
    rl_playing_silence(p->controller, seconds);
    rl_controller_hear_port(p->controller, RL_PORT_HARP_FROM, RL_HARP_FROM_NOTHING);
  }
  p->taken[moment] = true;
  cairo_destroy(cr);
  cairo_surface_destroy(to);
}

void
rl_pictures_pass(RlPictures *const p, const double seconds)
{
  rl_controller_look(p->controller, seconds);
  const RlPlaceReport *const t = &rl_controller_view(p->controller)->report;
  for (int i = 0; i < MOMENTS; ++i) {
    const bool there =
      t->chorus == moments[i].chorus && t->bar == moments[i].bar && t->beat >= moments[i].beat;
    if (!p->taken[i] && there) {
      shoot(p, i, seconds);
    }
  }
}

bool
rl_pictures_close(RlPictures *const p)
{
  bool good = !p->failed;
  for (int i = 0; i < MOMENTS; ++i) {
    if (!p->taken[i]) {
      fprintf(stderr, "the moment of window-%s.png never came\n", moments[i].name);
      good = false;
    }
  }
  rl_controller_free(p->controller);
  free(p);
  return good;
}
