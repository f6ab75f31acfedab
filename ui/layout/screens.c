/* SPDX-License-Identifier: ISC */
#include "ui/layout/screens.h"

#include "ui/layout/spots.h"
#include "ui/model/fields.h"

#include <math.h>

static RlRect
inner(const RlRect box, const double x, const double y)
{
  return (RlRect){box.x + x, box.y + y, box.w - 2 * x, box.h - 2 * y};
}

void
rl_screens_place_harps(RlLayout *const l, const RlView *const view)
{
  const bool   wide    = l->shape == RL_SHAPE_FULL;
  const double m       = l->margin;
  const int    columns = wide ? 3 : 6;
  const RlRect keys =
    wide ? (RlRect){24, 108, 304, 352} : (RlRect){m, 22, l->w - 2 * m, l->h * 0.26};
  const double       w      = keys.w / columns;
  const int          rows   = RL_KEYS / columns;
  const double       h      = keys.h / rows;
  const RlActionKind back[] = {RL_ACTION_HARPS};
  l->owned                  = keys;
  for (int i = 0; i < RL_KEYS; ++i) {
    const int key = (i + 7) % RL_KEYS; /* from G up: the order of pitch in the standard register */
    const RlRect at = rl_rect_grid_cell(keys.x, keys.y, w, h, columns, i);
    rl_spots_add(l, RL_ACTION_HARP_OWN, key, rl_rect_inset(at, wide ? 4 : 2));
  }
  if (wide) {
    const RlField fields[] = {RL_FIELD_DRAW_BENDS, RL_FIELD_BLOW_BENDS, RL_FIELD_OVERBLOWS,
                              RL_FIELD_SONG_KEY,   RL_FIELD_REGISTER,   RL_FIELD_TUNING};
    for (int i = 0; i < 6; ++i) {
      rl_spots_add(l, RL_ACTION_FIELD_OPEN, (int)fields[i],
                   inner(rl_rect_grid_cell(24, 501, 152, 62, 2, i), 4, 3));
    }
  }
  rl_spots_add_buttons(l,
                       wide ? (RlRect){l->w - 156, l->h - 60, 132, 46}
                            : (RlRect){l->w - m - 76, l->h - m - 30, 76, 30},
                       back, 1, 0);
  l->ranking =
    wide ? (RlRect){376, 100, l->w - 400, l->h - 168}
         : (RlRect){m, keys.y + keys.h + 30, l->w - 2 * m, l->h - keys.y - keys.h - 30 - 40};
  l->rank_pitch  = wide ? 92 : 38;
  l->ranks_shown = (int)(l->ranking.h / l->rank_pitch);
  l->first_rank  = rl_spots_first_shown(view, view->harps.count, l->ranks_shown);
  for (int i = 0; i < l->ranks_shown && l->first_rank + i < view->harps.count; ++i) {
    RlRect row = {l->ranking.x, l->ranking.y + i * l->rank_pitch, l->ranking.w,
                  l->rank_pitch * 0.87};
    rl_spots_add(l, RL_ACTION_HARP_USE, l->first_rank + i, row);
  }
}

void
rl_screens_place_text(RlLayout *const l)
{
  const double       m         = l->margin;
  const double       button    = l->shape == RL_SHAPE_FULL ? 46 : 30;
  const RlActionKind actions[] = {RL_ACTION_EDIT_KEEP, RL_ACTION_EDIT_CANCEL};
  RlRect             area      = {m, m, l->w - 2 * m, l->h - 2 * m};
  RlRect             foot      = rl_rect_cut_bottom(&area, button);
  rl_spots_add_buttons(l, rl_rect_cut_right(&foot, button * 6), actions, 2, 8);
  rl_rect_cut_right(&foot, 8);
  l->problem = foot;
  l->head    = rl_rect_cut_top(&area, button);
  rl_rect_cut_bottom(&area, m / 2);
  l->editor      = area;
  l->line_pitch  = l->shape == RL_SHAPE_FULL ? 27 : 19;
  l->lines_shown = (int)((area.h - m) / l->line_pitch);
  rl_spots_add(l, RL_ACTION_CARET, 0, area);
}
