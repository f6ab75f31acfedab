/* SPDX-License-Identifier: ISC */
#include "ui/layout/trainer.h"

#include "ui/layout/comb_extent.h"
#include "ui/layout/spots.h"
#include "ui/model/fields.h"

#include <math.h>

/* Rows of notes that this player can make, blown or drawn. */
static int
rows_of(const RlHarp *const harp, const RlPlayer player, const bool draws)
{
  int most = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const RlTechnique how   = (RlTechnique)(i % RL_TECHNIQUES);
    const int         level = rl_comb_level(how);
    most                    = harp->note[i / RL_TECHNIQUES][how] && rl_player_can(player, how) &&
               rl_technique_draws(how) == draws && level > most
                                ? level
                                : most;
  }
  return most + 1;
}

/* The notes as they stand on the comb, each a spot. */
static void
aims_place(RlLayout *const l, const RlView *const view, const RlRect area, const double most)
{
  const RlHarp   harp   = rl_harp_make(rl_view_harp(view));
  const RlPlayer player = rl_view_player(view);
  const int      above  = rows_of(&harp, player, false);
  const int      below  = rows_of(&harp, player, true);
  const double   w      = area.w / RL_HOLES;
  const double   h      = fmin(most, area.h / (above + below + 1));
  const double   rail   = area.y + (area.h - h * (above + below + 1)) / 2 + above * h;
  l->aims               = (RlRect){area.x, rail, area.w, h};
  for (int hole = 1; hole <= RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlTechnique t     = (RlTechnique)how;
      const int         level = rl_comb_level(t);
      const double      y = rl_technique_draws(t) ? rail + (level + 1) * h : rail - (level + 1) * h;
      if (harp.note[hole - 1][how] && rl_player_can(player, t)) {
        rl_spots_add(l, RL_ACTION_AIM, hole * RL_TECHNIQUES + how,
                     rl_rect_inset((RlRect){area.x + (hole - 1) * w, y, w, h}, h / 20));
      }
    }
  }
}

/* The settings that matter here, in one row. */
static void
fields_place(RlLayout *const l, RlRect row, const int count, const double gap)
{
  static const RlField fields[] = {RL_FIELD_HARP_FROM, RL_FIELD_HARP_KEY, RL_FIELD_DRAW_BENDS,
                                   RL_FIELD_BLOW_BENDS, RL_FIELD_OVERBLOWS};
  const double         w        = (row.w - gap * (count - 1)) / count;
  for (int i = 0; i < count; ++i) {
    rl_spots_add(l, RL_ACTION_FIELD_OPEN, (int)fields[i], rl_rect_cut_left(&row, w));
    rl_rect_cut_left(&row, gap);
  }
}

/* Each as wide as its words need. */
static void
foot_place(RlLayout *const l, RlRect row, const double gap)
{
  static const struct {
    RlActionKind kind;
    double       share;
  } buttons[] = {
    {RL_ACTION_AIM_MISSED, 0.36}, {RL_ACTION_AIM_TEMPER, 0.41}, {RL_ACTION_TRAINER, 0.23}};
  const double w = row.w - 2 * gap;
  for (int i = 0; i < 3; ++i) {
    rl_spots_add(l, buttons[i].kind, 0, rl_rect_cut_left(&row, w * buttons[i].share));
    rl_rect_cut_left(&row, gap);
  }
}

/* From the top: what is aimed at, the gauge, words about the try, the last tries. */
static void
tries_place(RlLayout *const l, RlRect area, const double head, const double words,
            const double last, const double gap)
{
  l->head = rl_rect_cut_top(&area, head);
  rl_rect_cut_top(&area, gap / 2);
  l->last_tries = rl_rect_cut_bottom(&area, last);
  rl_rect_cut_bottom(&area, gap);
  l->tried = rl_rect_cut_bottom(&area, words);
  rl_rect_cut_bottom(&area, gap / 2);
  l->gauge = area;
}

void
rl_trainer_place(RlLayout *const l, const RlView *const view)
{
  const double m    = l->margin;
  RlRect       area = {m, m, l->w - 2 * m, l->h - 2 * m};
  if (l->shape == RL_SHAPE_FULL) {
    RlRect left = rl_rect_cut_left(&area, l->gutter + 10 * 46);
    rl_rect_cut_left(&area, 36);
    foot_place(l, rl_rect_cut_bottom(&left, 46), 12);
    rl_rect_cut_bottom(&left, 12);
    fields_place(l, rl_rect_cut_bottom(&left, 56), 5, 6);
    rl_rect_cut_bottom(&left, 20);
    rl_rect_cut_left(&left, l->gutter);
    aims_place(l, view, left, 60);
    tries_place(l, area, 92, 92, 132, 20);
  } else if (l->shape == RL_SHAPE_TALL) {
    RlRect foot = rl_rect_cut_bottom(&area, 44);
    fields_place(l, rl_rect_cut_left(&foot, 76), 1, 0);
    rl_rect_cut_left(&foot, 6);
    foot_place(l, foot, 6);
    rl_rect_cut_bottom(&area, m);
    aims_place(l, view, rl_rect_cut_top(&area, fmin(area.h * 0.38, 300)), 40);
    rl_rect_cut_top(&area, m);
    tries_place(l, area, 44, 78, 74, 8);
  } else {
    RlRect left = rl_rect_cut_left(&area, area.w * 0.46);
    rl_rect_cut_left(&area, m);
    RlRect foot = rl_rect_cut_bottom(&left, 34);
    fields_place(l, rl_rect_cut_left(&foot, 46), 1, 0);
    rl_rect_cut_left(&foot, 4);
    foot_place(l, foot, 4);
    rl_rect_cut_bottom(&left, m / 2);
    aims_place(l, view, left, 34);
    tries_place(l, area, 34, 64, 60, 6);
  }
  l->problem = *view->problem ? l->tried : (RlRect){0, 0, 0, 0};
}
