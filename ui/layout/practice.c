/* SPDX-License-Identifier: ISC */
#include "ui/layout/practice.h"

#include "ui/layout/spots.h"
#include "ui/model/fields.h"

static int
columns(const RlLayout *const l)
{
  return l->h > l->w ? 1 : l->shape == RL_SHAPE_FULL ? 3 : 2;
}

static void
fields_place(RlLayout *const l, RlRect area, const int in_a_row, const double gap)
{
  static const RlField fields[] = {RL_FIELD_HARP_FROM, RL_FIELD_SHOW, RL_FIELD_SHOW_GROWS,
                                   RL_FIELD_KEEP_LAST, RL_FIELD_CAPTURE_FROM};
  enum { FIELDS = sizeof(fields) / sizeof(fields[0]) };
  const int    rows = (FIELDS + in_a_row - 1) / in_a_row;
  const double w    = (area.w + gap) / in_a_row;
  const double h    = (area.h + gap) / rows;
  for (int i = 0; i < FIELDS; ++i) {
    RlRect at = rl_rect_grid_cell(area.x, area.y, w, h, in_a_row, i);
    at.w -= gap;
    at.h -= gap;
    rl_spots_add(l, RL_ACTION_FIELD_OPEN, (int)fields[i], at);
  }
}

void
rl_practice_place(RlLayout *const l)
{
  static const RlActionKind back[] = {RL_ACTION_PRACTICE};
  const bool                wide   = l->shape == RL_SHAPE_FULL;
  const bool                tall   = l->h > l->w;
  const double              m      = l->margin;
  RlRect                    area   = {m, m, l->w - 2 * m, l->h - 2 * m};
  RlRect                    foot   = rl_rect_cut_bottom(&area, wide ? 56 : tall ? 132 : 40);
  RlRect end = tall ? rl_rect_cut_bottom(&foot, 40) : rl_rect_cut_right(&foot, wide ? 132 : 60);
  if (!tall) {
    rl_rect_cut_right(&foot, m);
  } else {
    rl_rect_cut_bottom(&foot, 6);
  }
  fields_place(l, foot, tall ? 3 : 5, wide ? 12 : 5);
  rl_spots_add_buttons(l, end, back, 1, 0);
  rl_rect_cut_bottom(&area, m);
  l->head   = rl_rect_cut_top(&area, wide ? 84 : tall ? 66 : 40);
  l->panels = area;
}

RlRect
rl_practice_panel(const RlLayout *const l, const int n)
{
  const int    across = columns(l);
  const int    rows   = (RL_PANELS + across - 1) / across;
  const double gap    = l->margin;
  const double w      = (l->panels.w + gap) / across;
  const double h      = (l->panels.h + gap) / rows;
  RlRect       at     = rl_rect_grid_cell(l->panels.x, l->panels.y, w, h, across, n);
  at.w -= gap;
  at.h -= gap;
  return at;
}
