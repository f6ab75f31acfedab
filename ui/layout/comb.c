/* SPDX-License-Identifier: ISC */
#include "ui/layout/comb.h"

#include "ui/layout/comb_extent.h"
#include "ui/layout/measures.h"
#include "ui/layout/spots.h"

#include <assert.h>

static void
comb_place(RlLayout *const l, const RlView *const view, const double right, const double bottom)
{
  const RlHarp       harp   = rl_harp_make(rl_view_harp(view));
  const RlCombExtent extent = rl_comb_extent(&harp, rl_view_player(view));
  const double       top    = rl_measures(l->shape)->margin;
  l->gutter                 = rl_measures(l->shape)->gutter;
  l->rail_h                 = rl_measures(l->shape)->rail;
  l->gap                    = rl_measures(l->shape)->gap;
  l->above                  = extent.rows[0] + 1;
  l->below                  = extent.rows[1] + 1;
  l->comb_x                 = l->gutter;
  l->pitch_x                = (right - l->comb_x) / RL_HOLES;
  l->pitch_y                = (bottom - top - l->rail_h - 2 * l->gap) / (l->above + l->below);
  l->rail_y                 = top + l->above * l->pitch_y + l->gap;
  const double under = l->rail_y + l->rail_h + l->gap + (l->below - extent.next_rows) * l->pitch_y;
  const double side  = l->comb_x + (extent.high - 1) * l->pitch_x;
  const double pad   = l->pitch_y / 9;
  l->now             = (RlRect){l->comb_x + pad / 4, top, extent.low * l->pitch_x - pad,
                                extent.now_rows * l->pitch_y - pad};
  l->next = (RlRect){side + pad * 2, under + pad, right - side - 2.5 * pad, bottom - under - pad};
}

RlRect
rl_layout_cell(const RlLayout *const l, const int hole, const RlTechnique technique)
{
  assert(hole >= 1 && hole <= RL_HOLES);
  const bool   draws = rl_technique_draws(technique);
  const double level = rl_comb_level(technique);
  const double y     = draws ? l->rail_y + l->rail_h + l->gap + level * l->pitch_y
                             : l->rail_y - l->gap - (level + 1) * l->pitch_y;
  return (RlRect){l->comb_x + (hole - 1) * l->pitch_x, y, l->pitch_x, l->pitch_y};
}

double
rl_lane_height(const RlLayout *const l, const RlView *const view)
{
  const bool comb = view->screen == RL_SCREEN_PLAY || view->screen == RL_SCREEN_STAGE;
  return comb && rl_view_has_lane(view)
           ? rl_measures(l->shape)->lane + rl_measures(l->shape)->margin / 2
           : 0;
}

/* Across the window, right above what lies under the comb. */
static void
lane_place(RlLayout *const l, const RlView *const view, const double under)
{
  const double high = rl_lane_height(l, view);
  const double m    = rl_measures(l->shape)->margin;
  const double x    = l->shape == RL_SHAPE_TALL ? m : l->gutter;
  if (high > 0) {
    l->lane = (RlRect){x, l->h - under - rl_measures(l->shape)->lane, l->w - x - m,
                       rl_measures(l->shape)->lane};
    if (view->screen == RL_SCREEN_PLAY) {
      rl_spots_add(l, RL_ACTION_LANE, 0, l->lane);
    }
  }
}

void
rl_comb_place(RlLayout *const l, const RlView *const view)
{
  const RlMeasures *const m     = rl_measures(l->shape);
  const double            under = view->screen == RL_SCREEN_STAGE ? m->margin : m->below;
  const double            right =
    l->shape == RL_SHAPE_FULL ? m->gutter + RL_HOLES * RL_COLUMN : l->w - m->margin / 1.5;
  comb_place(l, view, right, l->h - under - rl_lane_height(l, view));
  lane_place(l, view, under);
}
