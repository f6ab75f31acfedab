/* SPDX-License-Identifier: ISC */
#include "ui/draw/draw.h"

#include "ui/draw/chart.h"
#include "ui/draw/charts.h"
#include "ui/draw/comb.h"
#include "ui/draw/controls.h"
#include "ui/draw/corners.h"
#include "ui/draw/harps.h"
#include "ui/draw/hearing.h"
#include "ui/draw/lane.h"
#include "ui/draw/phrases.h"
#include "ui/draw/practice.h"
#include "ui/draw/trainer.h"
#include "ui/draw/typing.h"

#include <assert.h>

static void
scene_draw(const RlScene *const s)
{
  const RlScreen screen = s->view->screen;
  const bool     comb   = screen == RL_SCREEN_PLAY || screen == RL_SCREEN_STAGE;
  if (comb) {
    rl_draw_comb(s);
    rl_draw_corners(s);
    rl_draw_lane(s);
  }
  if (screen == RL_SCREEN_PLAY) {
    rl_draw_chart(s);
  } else if (screen == RL_SCREEN_HARPS) {
    rl_draw_harps(s);
  } else if (screen == RL_SCREEN_PHRASES) {
    rl_draw_phrases(s);
  } else if (screen == RL_SCREEN_TEXT) {
    rl_draw_text(s);
  } else if (screen == RL_SCREEN_CHARTS) {
    rl_draw_charts(s);
  } else if (screen == RL_SCREEN_PRACTICE) {
    rl_draw_practice(s);
  } else if (screen == RL_SCREEN_TRAINER) {
    rl_draw_trainer(s);
  }
  rl_draw_controls(s, 0, s->layout->live);
  rl_draw_problem(s);
  rl_draw_hearing(s);
  rl_draw_chorus(s);
  rl_draw_editor(s);
  rl_draw_charts_asking(s);
  rl_draw_list(s);
  rl_draw_controls(s, s->layout->live, s->layout->spots);
  rl_draw_notice(s);
}

void
rl_draw(const RlView *const view, const int width, const int height, cairo_t *const cr,
        RlTextCache *const cache, const RlTextObserver observer, void *const observer_data)
{
  assert(view && cr && cache);
  RlLayout layout;
  rl_layout_make(&layout, view, width, height);
  const RlScene scene = {{cr, cache, observer, observer_data}, view, &layout};
  cairo_save(cr);
  rl_set_ink(&scene.paint, RL_INK_GROUND, 1);
  cairo_paint(cr);
  cairo_scale(cr, layout.unit, layout.unit);
  scene_draw(&scene);
  cairo_restore(cr);
}
