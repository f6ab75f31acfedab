/* SPDX-License-Identifier: ISC */
#include "ui/controller/controller_state.h"
#include "ui/controller/takes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double fade_time   = 0.12; /* seconds that lamps take to change */
static const double scroll_time = 8;    /* that the chart stays where it was scrolled to */

static void
keep(char *const to, const size_t room, const char *const text)
{
  RlText out = rl_text_in(to, room);
  rl_text_add(&out, text);
}

/* ---- beginning ---- */

void
rl_controller_trouble(RlController *const b, const char *const what)
{
  RlText text = rl_text_in(b->trouble, sizeof(b->trouble));
  rl_text_add(&text, "harps: cannot be ");
  rl_text_add(&text, what);
  rl_text_add(&text, "; your harps will be forgotten with this session. The file is in ");
  rl_text_add(&text, b->folder);
  b->view.problem = b->problem[0] ? b->problem : b->trouble;
}

RlController *
rl_controller_new(const RlControllerPlugin *const plugin, const double scale,
                  const char *const settings)
{
  RlController *const b = (RlController *)calloc(1, sizeof(RlController));
  if (!b || !(b->type = rl_text_cache())) {
    free(b);
    return NULL;
  }
  b->plugin            = *plugin;
  b->scale             = fmin(fmax(scale, 1), 3);
  b->held              = RL_PORTS;
  b->all               = true;
  b->scrolled_at       = -HUGE_VAL;
  b->view.osc_to       = b->osc_to;
  b->view.problem      = b->problem;
  b->view.edit.error   = b->edit_error;
  b->view.notice       = b->notice;
  b->view.edit.input   = &b->typing;
  b->view.harps.ranked = b->finding;
  b->view.focus = b->view.edit.error_bar = b->view.phrases.selected = -1;
  b->view.phrases.planned.bar                                       = 1;
  b->view.phrases.takes                                             = &b->takes;
  b->view.phrases.query                                             = b->wanted;
  b->view.phrases.found                                             = b->found;
  b->view.phrases.plan                                              = &b->pick_plan;
  b->view.phrases.lane                                              = &b->pick_lane;
  b->view.edit.list                                                 = RL_NO_FIELD;
  b->view.change.fade                                               = 1;
  b->view.follow                                                    = true;
  for (int i = 0; i < RL_PORTS; ++i) {
    b->view.port[i] = rl_ports[i].standard;
  }
  if (settings && strlen(settings) < sizeof(b->folder)) {
    memcpy(b->folder, settings, strlen(settings) + 1);
  }
  if (!rl_owned_harps_read(&b->owned, b->folder[0] ? b->folder : NULL)) {
    rl_controller_trouble(b, "read");
    b->folder[0] = '\0'; /* so that it is not written over */
  }
  return b;
}

void
rl_controller_free(RlController *const b)
{
  if (b) {
    rl_library_free(&b->library);
  }
  free(b);
}

void
rl_controller_phrases_from(RlController *const b, const char *const folder, const char *const book)
{
  keep(b->phrases, sizeof(b->phrases), folder ? folder : "");
  keep(b->book, sizeof(b->book), book ? book : "");
}

void
rl_controller_size(const RlController *const b, int *const width, int *const height)
{
  *width  = (int)lround(1280 * b->scale);
  *height = (int)lround(720 * b->scale);
}

/* ---- hearing ---- */

void
rl_controller_rank(RlController *const b)
{
  RlHarpChoice       choices[RL_OWNED_MAX];
  int                n      = rl_owned_harps_list(&b->owned, choices);
  const RlHarpChoice mine   = rl_view_harp(&b->view);
  const RlPlayer     player = rl_view_player(&b->view);
  const RlKey        key    = rl_view_key(&b->view);
  const bool         none   = n == 0;
  b->view.harps.owned       = b->owned.keys[mine.range + 1][mine.tuning];
  for (int i = 0; none && i < RL_KEYS; ++i) {
    choices[n++] = (RlHarpChoice){(uint8_t)i, mine.range, mine.tuning};
  }
  b->view.harps.count = b->view.form ? n : 0;
  b->view.harps.shift = (RlShift){0};
  if (b->view.form) {
    rl_finder_rank(b->view.form, key, choices, n, player, b->finding);
    b->view.harps.shift =
      none ? b->view.harps.shift : rl_finder_shift(b->view.form, key, player, b->finding, n);
  }
}

static void
lane_make(RlController *const b)
{
  RlView *const v = &b->view;
  v->plan         = &b->plan;
  v->lane         = &b->lane;
  ++v->lane_version;
  b->lane.notes = 0;
  if (v->form && b->plan.planned_count) {
    rl_lane_make(&b->plan, v->form, rl_view_key(v), rl_view_harp(v), rl_view_player(v),
                 &b->lane_room, &b->lane);
  }
}

/* What hangs on settings, chart and plan. */
static void
refresh(RlController *const b)
{
  lane_make(b);
  if (b->view.screen == RL_SCREEN_PHRASES) {
    rl_controller_pick(b);
  }
  if (b->view.screen == RL_SCREEN_HARPS) {
    rl_controller_rank(b);
  }
  b->all = true;
}

void
rl_controller_set(RlController *const b, const RlPort port, const float value)
{
  b->view.port[port] = value;
  b->plugin.set_port(b->plugin.data, port, value);
  refresh(b);
}

void
rl_controller_hear_port(RlController *const b, const RlPort port, const float heard)
{
  const bool              shown = port >= RL_PORT_SONG_KEY && (int)port < (int)RL_INPUTS_END;
  const RlPortInfo *const info  = &rl_ports[port];
  const float value = isfinite(heard) ? fminf(fmaxf(heard, info->low), info->high) : info->standard;
  if (b->view.port[port] != value) {
    b->view.port[port] = value;
    if (shown) {
      refresh(b);
    }
  }
}

/* How long this chord lasts in all: what is left of it when it comes, or is first heard of. */
static void
soon_learn(RlController *const b, const RlPlaceReport *const told)
{
  const RlPlaceReport *const was    = &b->report;
  const double               before = b->view.change.length;
  const bool another    = strcmp(told->now_degree, was->now_degree) != 0 || told->part != was->part;
  b->view.report        = *told;
  const double left     = rl_view_to_next(&b->view);
  b->view.change.length = another ? left : fmax(before, left);
}

/* Only what can be written, and numbers that are some. */
static RlPlaceReport
sane(RlPlaceReport t)
{
  enum { most = 99999 };
  char *const   texts[]   = {t.now, t.now_degree, t.next, t.next_degree};
  double *const numbers[] = {&t.tempo, &t.beat, &t.sure, &t.beats_to_next};
  for (int i = 0; i < 4; ++i) {
    if (rl_slice_bad_byte(rl_slice(texts[i])) >= 0) {
      texts[i][0] = '\0';
    }
    *numbers[i] = isfinite(*numbers[i]) ? fmin(fmax(*numbers[i], -1e6), 1e6) : 0;
  }
  int *const wholes[] = {&t.chorus, &t.bar, &t.bars};
  for (int i = 0; i < 3; ++i) {
    *wholes[i] = *wholes[i] < -most ? -most : *wholes[i] > most ? most : *wholes[i];
  }
  t.beats = t.beats < 0 || t.beats > RL_BAR_BEATS_MAX ? 0 : t.beats;
  t.unit  = t.unit < 1 ? 1 : t.unit;
  t.part  = t.part > RL_PART_OVER ? RL_PART_NOWHERE : t.part;
  t.target.hole =
    t.target.hole > RL_HOLES || t.target.technique >= RL_TECHNIQUES ? 0 : t.target.hole;
  return t;
}

void
rl_controller_hear_place(RlController *const b, const RlPlaceReport *const raw, const double now)
{
  const RlPlaceReport        clean = sane(*raw);
  const RlPlaceReport *const told  = &clean;
  const bool moved  = told->rolling && b->report.rolling && told->lit && b->report.lit;
  const bool chords = strcmp(told->now_degree, b->report.now_degree) != 0;
  const bool placed = rl_view_placed(&b->view);
  soon_learn(b, told);
  if (moved && chords && b->report.now_degree[0] && !b->view.calm) {
    memcpy(b->view.change.before, b->report.now_degree, sizeof(b->view.change.before));
    b->fade_from = now;
  } else if (chords) {
    b->view.change.before[0] = '\0';
  }
  b->report = *told;
  b->heard  = now;
  b->all    = b->all || placed != rl_view_placed(&b->view);
}

void
rl_controller_hear_text(RlController *const b, const RlProperty which, const char *const text)
{
  RlChartError error;
  RlPlanError  plan_error;
  if (rl_slice_bad_byte(rl_slice(text)) >= 0) {
    return; /* cannot be written */
  }
  switch (which) {
  case RL_CHART:
    if (rl_chart_read(rl_slice(text), &b->trial, &error)) {
      b->form      = b->trial;
      b->view.form = &b->form;
      if (b->view.edit.kind == RL_EDIT_BAR) { /* somebody else changed what is being typed into */
        b->view.edit.kind = RL_EDIT_NOTHING;
      }
      b->view.edit.error_bar = -1;
    }
    break;
  case RL_PLAN:
    if (rl_plan_read(rl_slice(text), &b->lane_room.phrase, &b->plan_trial, &plan_error)) {
      b->plan = b->plan_trial;
    }
    break;
  case RL_TAKE:
    if (rl_plan_read(rl_slice(text), &b->lane_room.phrase, &b->plan_trial, &plan_error)) {
      const int before = b->takes.phrase_count;
      b->takes         = b->plan_trial;
      if (b->takes.phrase_count > before) {
        rl_takes_come(b, before);
      }
      rl_takes_go(b, before);
      rl_controller_find_again(b);
    }
    break;
  case RL_OSC_TO:
    keep(b->osc_to, sizeof(b->osc_to), text);
    break;
  case RL_PROBLEM:
    keep(b->problem, sizeof(b->problem), text);
    b->view.problem = b->problem[0] ? b->problem : b->trouble;
    break;
  default:
    break;
  }
  refresh(b);
}

/* ---- as time passes ---- */

/* Between two reports the beat runs on at the tempo told, but never into a beat that was not. */
static void
place_carry(RlController *const b, const double now)
{
  RlPlaceReport *const t     = &b->view.report;
  const double         whole = floor(b->report.beat) + 1;
  *t                         = b->report;
  if (t->rolling && t->tempo > 0 && rl_view_placed(&b->view)) {
    const double passed = fmin((now - b->heard) * t->tempo / 60, whole - t->beat - 1e-3);
    t->beat += passed;
    t->beats_to_next = fmax(0, t->beats_to_next - passed);
  }
}

void
rl_controller_look(RlController *const b, const double now)
{
  RlView *const v = &b->view;
  place_carry(b, now);
  v->change.fade = v->change.before[0] ? fmin(1, fmax(0, (now - b->fade_from) / fade_time)) : 1;
  if (v->change.fade >= 1) {
    v->change.before[0] = '\0';
  }
  if (!v->follow && v->screen == RL_SCREEN_PLAY && now - b->scrolled_at > scroll_time) {
    v->follow = true;
    b->all    = true;
  }
  if (b->held != RL_PORTS && now >= b->release_at) {
    const RlPort port = b->held;
    b->held           = RL_PORTS;
    rl_controller_set(b, port, 0);
  }
}

/* The whole window as one part. */
static int
all_of(const int width, const int height, RlRect *const damage)
{
  damage[0] = (RlRect){0, 0, width, height};
  return 1;
}

static RlRect
around(const RlRect a, const RlRect b)
{
  const double x = fmin(a.x, b.x);
  const double y = fmin(a.y, b.y);
  return (RlRect){x, y, fmax(a.x + a.w, b.x + b.w) - x, fmax(a.y + a.h, b.y + b.h) - y};
}

static bool
same_place(const RlRect a, const RlRect b)
{
  return a.x == b.x && a.y == b.y && a.w == b.w && a.h == b.h;
}

static double
area(const RlRect a)
{
  return a.w * a.h;
}

/* Adds a part, to a near one if both together take hardly more room: few parts are drawn faster
   than many. Once there is no room for more, the last one grows. */
static int
damage_add(RlRect *const damage, const int count, const RlRect part)
{
  static const double waste = 1.2;
  if (part.w <= 0) {
    return count;
  }
  for (int i = 0; i < count; ++i) {
    const RlRect both = around(damage[i], part);
    if (area(both) <= waste * (area(damage[i]) + area(part))) {
      damage[i] = both;
      return count;
    }
  }
  if (count < RL_DAMAGE_MAX) {
    damage[count] = part;
    return count + 1;
  }
  damage[count - 1] = around(damage[count - 1], part);
  return count;
}

int
rl_controller_changed(RlController *const b, const double now, const int width, const int height,
                      RlRect *const damage)
{
  const int had = b->pieces;
  int       n   = 0;
  rl_controller_look(b, now);
  const int first = b->layout.first_row;
  rl_layout_make(&b->layout, &b->view, width, height);
  memcpy(b->was, b->piece, sizeof(RlPiece) * (size_t)had);
  b->pieces      = rl_draw_pieces(&b->view, &b->layout, b->piece);
  const bool all = b->all || width != b->width || height != b->height || b->pieces != had ||
                   b->layout.first_row != first;
  b->all    = false;
  b->width  = width;
  b->height = height;
  if (all) {
    return all_of(width, height, damage);
  }
  for (int i = 0; i < had; ++i) {
    const bool moved = !same_place(b->was[i].at, b->piece[i].at);
    if (b->was[i].looks != b->piece[i].looks || moved) {
      n = damage_add(damage, n, b->piece[i].at);
      n = moved ? damage_add(damage, n, b->was[i].at) : n;
    }
  }
  return n;
}

void
rl_controller_draw(RlController *const b, cairo_t *const cr, const int width, const int height)
{
  rl_draw(&b->view, width, height, cr, b->type, NULL, NULL);
}

const RlView *
rl_controller_view(const RlController *const b)
{
  return &b->view;
}
