/* SPDX-License-Identifier: ISC */
#include "ui/controller/bar_choice.h"
#include "ui/controller/controller_state.h"
#include "ui/controller/keyboard.h"
#include "ui/controller/pointer.h"
#include "ui/controller/takes.h"
#include "ui/draw/draw.h"
#include "ui/paint/text.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static void
text_keep(char *const to, const size_t size, const char *const text)
{
  RlText out = rl_text_in(to, size);
  rl_text_add(&out, text);
}

/* ---- opening and closing ---- */

/* The view points to what the controller's parts hold. */
static void
view_init(RlController *const c)
{
  RlView *const v = &c->view;
  *v              = (RlView){.osc_to  = c->osc_to,
                             .problem = c->problem,
                             .notice  = c->notice,
                             .change  = {.fade = 1},
                             .focus   = -1,
                             .follow  = true,
                             .edit    = {.input     = &c->editing.input,
                                         .error     = c->editing.error,
                                         .error_bar = -1,
                                         .list      = RL_NO_FIELD},
                             .harps   = {.ranked = c->harps.ranked},
                             .phrases = {.takes    = &c->takes,
                                         .query    = c->search.query,
                                         .found    = c->search.found,
                                         .selected = -1,
                                         .planned  = {.bar = 1},
                                         .onset    = c->picker.onset,
                                         .plan     = &c->picker.plan,
                                         .lane     = &c->picker.lane},
                             .charts  = {.place    = RL_CHARTS_PRESETS,
                                         .folder   = c->charts.folder,
                                         .list     = &c->charts.list,
                                         .query    = c->charts.query,
                                         .found    = c->charts.found,
                                         .selected = -1,
                                         .wrong    = "",
                                         .file     = c->origin.file,
                                         .words    = c->charts.words,
                                         .question = c->files.question},
                             .trainer = {.on = &c->training.trainer, .tries = &c->training.tries}};
  for (int i = 0; i < RL_PORTS; ++i) {
    v->port[i] = rl_ports[i].standard;
  }
}

RlController *
rl_controller_new(const RlControllerPlugin *const plugin, const double scale,
                  const char *const settings)
{
  assert(plugin && plugin->set_port && plugin->set_text);
  RlController *const c = (RlController *)calloc(1, sizeof(RlController));
  if (!c || !(c->text_cache = rl_text_cache())) {
    free(c);
    return NULL;
  }
  c->plugin           = *plugin;
  c->scale            = fmin(fmax(scale, 1), 3);
  c->settings.trigger = RL_PORTS;
  c->scrolling.since  = -HUGE_VAL;
  c->redraw.all       = true;
  view_init(c);
  rl_chart_origin_watch(c);
  rl_harps_open(c, settings);
  return c;
}

void
rl_controller_free(RlController *const c)
{
  if (c) {
    rl_clips_close(c);
    rl_phrase_files_close(c);
    rl_charts_close(c);
    rl_chart_files_close(c);
    rl_chart_saving_close(c);
    rl_training_close(c);
    rl_undo_free(c);
  }
  free(c);
}

void
rl_controller_set_phrase_files(RlController *const c, const char *const folder,
                               const char *const book)
{
  text_keep(c->picker.folder, sizeof(c->picker.folder), folder ? folder : "");
  text_keep(c->picker.book, sizeof(c->picker.book), book ? book : "");
}

void
rl_controller_set_chart_files(RlController *const c, const char *const own,
                              const char *const presets, const char *const state)
{
  text_keep(c->charts.own, sizeof(c->charts.own), own ? own : "");
  text_keep(c->charts.presets, sizeof(c->charts.presets), presets ? presets : "");
  text_keep(c->charts.state, sizeof(c->charts.state), state ? state : "");
}

void
rl_controller_size(const RlController *const c, int *const width, int *const height)
{
  *width  = (int)lround(1280 * c->scale);
  *height = (int)lround(720 * c->scale);
}

/* ---- what the plugin reports ---- */

static void
lane_make(RlController *const c)
{
  RlView *const v = &c->view;
  v->plan         = &c->plan;
  v->lane         = &c->lane;
  ++v->lane_version;
  c->lane.notes = 0;
  if (v->form && c->plan.planned_count) {
    rl_lane_make(&c->plan, v->form, rl_view_key(v), rl_view_harp(v), rl_view_player(v),
                 &c->scratch.lane, &c->lane);
  }
}

void
rl_controller_refresh(RlController *const c)
{
  lane_make(c);
  rl_search_fit_again(c);
  if (c->view.screen == RL_SCREEN_PHRASES) {
    rl_picker_update(c);
  } else if (c->view.screen == RL_SCREEN_HARPS) {
    rl_harps_rank(c);
  }
  rl_training_refresh(c);
  c->redraw.all = true;
}

void
rl_controller_hear_port(RlController *const c, const RlPort port, const float heard)
{
  assert(port >= 0 && port < RL_PORTS);
  const bool              shown = port >= RL_PORT_SONG_KEY && rl_port_is_input(port);
  const RlPortInfo *const info  = &rl_ports[port];
  const float value = isfinite(heard) ? fminf(fmaxf(heard, info->low), info->high) : info->standard;
  if (c->view.port[port] != value) {
    c->view.port[port] = value;
    if (shown) {
      rl_controller_refresh(c);
    }
  }
}

void
rl_controller_hear_place(RlController *const c, const RlPlaceReport *const report, const double now)
{
  const int key = rl_spelling_class(rl_view_key(&c->view).tonic);
  rl_place_receive(c, report, now);
  if (key != rl_spelling_class(rl_view_key(&c->view).tonic)) { /* as heard */
    rl_controller_refresh(c);
  }
}

void
rl_controller_hear_hearing(RlController *const c, const RlHearingReport *const hearing)
{
  c->view.hearing = *hearing;
}

void
rl_controller_hear_silence(RlController *const c, const bool silent)
{
  c->redraw.all  = c->redraw.all || silent != c->view.silent;
  c->view.silent = silent;
}

/* The choruses of this song. */
static void
practice_show(RlController *const c)
{
  const RlSlice title = c->view.form ? rl_form_text(&c->form, c->form.title) : rl_slice("");
  rl_practice_show(&c->practice, rl_slice(c->practised), title);
  c->view.practice = &c->practice;
}

static void
chart_hear(RlController *const c, const char *const text)
{
  RlChartError error;
  if (rl_chart_read(rl_slice(text), &c->scratch.form, &error)) {
    const bool same = c->view.form && !strcmp(c->form.text, c->scratch.form.text);
    c->form         = c->scratch.form;
    c->view.form    = &c->form;
    if (!same) { /* else somebody asked for it while a bar is typed in, and that stays open */
      c->view.edit.kind = c->view.edit.kind == RL_EDIT_BAR ? RL_EDIT_NOTHING : c->view.edit.kind;
      c->view.edit.error_bar = -1;
      rl_bar_choice_end(c);
    }
    practice_show(c);
    rl_chart_origin_hear_chart(c);
    rl_place_bar_one(c);
  }
}

void
rl_controller_hear_text(RlController *const c, const RlProperty which, const char *const text)
{
  assert(text && which >= 0 && which < RL_PROPERTIES);
  RlPlanError plan_error;
  if (which != RL_CHART_FILE && rl_slice_bad_byte(rl_slice(text)) >= 0) {
    return; /* not UTF-8: it cannot be shown */
  }
  rl_undo_hear_text(c, which, text);
  switch (which) {
  case RL_CHART:
    chart_hear(c, text);
    break;
  case RL_CHART_FILE:
    rl_chart_origin_hear_file(c, text);
    break;
  case RL_PLAN:
    if (rl_plan_read(rl_slice(text), &c->scratch.lane.phrase, &c->scratch.plan, &plan_error)) {
      c->plan = c->scratch.plan;
    }
    break;
  case RL_TAKE:
    if (rl_plan_read(rl_slice(text), &c->scratch.lane.phrase, &c->scratch.plan, &plan_error)) {
      const int before = c->takes.phrase_count;
      c->takes         = c->scratch.plan;
      if (c->takes.phrase_count > before) {
        rl_takes_added(c, before);
      }
      rl_takes_removed(c, before);
      rl_search_update(c);
    }
    break;
  case RL_PRACTICE:
    text_keep(c->practised, sizeof(c->practised), text);
    practice_show(c);
    break;
  case RL_OSC_TO:
    text_keep(c->osc_to, sizeof(c->osc_to), text);
    break;
  case RL_PROBLEM:
    text_keep(c->problem, sizeof(c->problem), rl_take_picture_missing(c, text) ? "" : text);
    c->view.problem = c->problem[0] ? c->problem : c->harps.problem;
    break;
  default:
    break;
  }
  rl_controller_refresh(c);
}

/* ---- what is shown ---- */

void
rl_controller_look(RlController *const c, const double now)
{
  rl_place_advance(c, now);
  rl_playing_advance(c, now);
  rl_scrolling_advance(c, now);
  rl_charts_advance(c, now);
  rl_phrase_files_advance(c, now);
  rl_clips_advance(c);
  rl_chart_files_advance(c, now);
  rl_settings_advance(c, now);
  rl_lesson_sheet_advance(c);
  rl_training_advance(c, now);
}

int
rl_controller_changed(RlController *const c, const double now, const int width, const int height,
                      RlRect *const damage)
{
  rl_controller_look(c, now);
  return rl_redraw_parts(c, width, height, damage);
}

void
rl_controller_draw(RlController *const c, cairo_t *const cr, const int width, const int height)
{
  rl_draw(&c->view, width, height, cr, c->text_cache, NULL, NULL);
}

const RlView *
rl_controller_view(const RlController *const c)
{
  return &c->view;
}

/* ---- input ---- */

/* The next click or key removes a notice. True if it was meant for the notice alone. */
static bool
notice_remove(RlController *const c, const RlInput *const input)
{
  const RlLayout *const l     = &c->redraw.layout;
  const bool            key   = input->kind == RL_INPUT_KEY;
  const bool            press = input->kind == RL_INPUT_PRESS;
  if (!c->notice[0] || (!key && !press)) {
    return false;
  }
  c->notice[0]  = '\0';
  c->redraw.all = true;
  return key ? input->key == RL_KEY_ESCAPE || input->key == RL_KEY_ENTER
             : rl_rect_contains(l->notice, input->x / l->unit, input->y / l->unit);
}

bool
rl_controller_input(RlController *const c, const RlInput *const input, const double now)
{
  if (c->redraw.width == 0) {
    return false; /* nothing was shown yet */
  }
  rl_undo_input(c, now);
  if (notice_remove(c, input)) {
    return true;
  }
  switch (input->kind) {
  case RL_INPUT_PRESS:
    rl_pointer_press(c, input, now);
    return true;
  case RL_INPUT_RELEASE:
    rl_pointer_release(c, input, now);
    return true;
  case RL_INPUT_SCROLL:
    rl_pointer_scroll(c, input, now);
    return true;
  case RL_INPUT_KEY:
    return rl_keyboard_key(c, input, now);
  case RL_INPUT_MOVE:
    rl_bar_choice_drag(c, input);
    return false;
  default:
    return false;
  }
}
