/* SPDX-License-Identifier: ISC */
#include "ui/layout/layout.h"

#include "ui/layout/charts.h"
#include "ui/layout/comb.h"
#include "ui/layout/measures.h"
#include "ui/layout/phrases.h"
#include "ui/layout/play.h"
#include "ui/layout/practice.h"
#include "ui/layout/rows.h"
#include "ui/layout/screens.h"
#include "ui/layout/settings.h"
#include "ui/layout/spots.h"
#include "ui/layout/trainer.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* The least window in pixels that is shown in full. */
enum { FULL_W = 960, FULL_H = 540 };

static RlShape
shape_of(const RlView *const view, const int width, const int height)
{
  const bool full = width >= FULL_W && height >= FULL_H;
  return height > width                    ? RL_SHAPE_TALL
         : !full                           ? RL_SHAPE_SMALL
         : view->screen == RL_SCREEN_STAGE ? RL_SHAPE_STAGE
                                           : RL_SHAPE_FULL;
}

/* Shape, unit, and the measures that the drawing needs too. */
static void
measures_set(RlLayout *const l, const RlShape shape, const int width, const int height)
{
  const RlMeasures *const m = rl_measures(shape);
  l->shape                  = shape;
  l->unit                   = fmin(width / m->w, height / m->h);
  l->w                      = width / l->unit;
  l->h                      = height / l->unit;
  l->label                  = m->label;
  l->value                  = m->value;
  l->name                   = m->name;
  l->hole                   = m->hole;
  l->row_cells              = RL_ROW_BARS;
  l->margin                 = m->margin;
  l->lane_high              = m->lane;
  l->lane_bars              = m->lane_bars;
}

RlRect
rl_layout_typing(const RlRect field)
{
  return rl_rect_inset(field, fmin(10, field.h / 6));
}

double
rl_layout_typing_size(const RlLayout *const l, const RlEdit kind, const RlRect field)
{
  return kind == RL_EDIT_BAR ? fmin(l->name, field.h * 0.6) : l->value;
}

static void
screen_place(RlLayout *const l, const RlView *const view)
{
  switch (view->screen) {
  case RL_SCREEN_STAGE:
    rl_spots_add(l, RL_ACTION_STAGE, 0, (RlRect){0, 0, l->w, l->h});
    break;
  case RL_SCREEN_SETTINGS:
    rl_settings_place_screen(l, view);
    break;
  case RL_SCREEN_HARPS:
    rl_screens_place_harps(l, view);
    break;
  case RL_SCREEN_PHRASES:
    rl_phrases_place(l, view);
    break;
  case RL_SCREEN_TEXT:
    rl_screens_place_text(l);
    break;
  case RL_SCREEN_CHARTS:
    rl_charts_place(l, view);
    break;
  case RL_SCREEN_PRACTICE:
    rl_practice_place(l);
    break;
  case RL_SCREEN_TRAINER:
    rl_trainer_place(l, view);
    break;
  default:
    rl_play_place(l, view);
    break;
  }
}

/* Over everything, at the foot of the window. It has no spot: any click or key removes it. */
static void
notice_place(RlLayout *const l)
{
  const double w = fmin(l->w - 2 * l->margin, l->value * 46);
  const double h = l->value * (l->w < l->value * 40 ? 7.2 : 4.8);
  l->notice      = (RlRect){(l->w - w) / 2, l->h - l->margin - h, w, h};
}

void
rl_layout_make(RlLayout *const l, const RlView *const view, const int width, const int height)
{
  assert(width > 0 && height > 0);
  memset(l, 0, sizeof(*l));
  measures_set(l, shape_of(view, width, height), width, height);
  rl_rows_divide(l, view->form);
  rl_comb_place(l, view);
  screen_place(l, view);
  if (view->edit.list != RL_NO_FIELD) {
    rl_settings_place_list(l, view);
  }
  if (view->notice && *view->notice) {
    notice_place(l);
  }
}
