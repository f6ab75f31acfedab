/* SPDX-License-Identifier: ISC */
#include "ui/layout/charts.h"

#include "ui/layout/spots.h"

#include <math.h>

/* Places to list, then the folder that is listed; in one row where the window is wide enough. */
static void
places_add(RlLayout *const l, RlRect *const area, const bool wide)
{
  const double high = wide ? 44 : 26;
  const double gap  = l->margin / (wide ? 3 : 2);
  RlRect       row  = rl_rect_cut_top(area, high);
  if (wide) {
    l->head = rl_rect_cut_left(&row, 120);
  }
  RlRect       buttons = wide ? rl_rect_cut_left(&row, 4 * 118 + 3 * gap) : row;
  const double w       = (buttons.w - gap * (RL_CHARTS_PLACES - 1)) / RL_CHARTS_PLACES;
  for (int i = 0; i < RL_CHARTS_PLACES; ++i) {
    rl_spots_add(l, RL_ACTION_CHARTS_PLACE, i, rl_rect_cut_left(&buttons, w));
    rl_rect_cut_left(&buttons, gap);
  }
  if (wide) {
    rl_rect_cut_left(&row, gap);
  } else {
    rl_rect_cut_top(area, gap);
    row = rl_rect_cut_top(area, 24);
  }
  rl_spots_add(l, RL_ACTION_CHARTS_PATH, 0, row);
  rl_rect_cut_top(area, gap + 4);
}

static void
list_add(RlLayout *const l, const RlView *const view, const bool wide)
{
  const double pitch = wide ? 48 : l->value * 2.28;
  const int    count = rl_view_charts_listed(view);
  RlRect       rows  = l->charts;
  RlRect       find  = rl_rect_cut_top(&rows, wide ? 38 : 24);
  find.h -= 2;
  rl_spots_add(l, RL_ACTION_FIND, 0, find);
  l->entries_shown = (int)(rows.h / pitch);
  const int last   = count > l->entries_shown ? count - l->entries_shown : 0;
  l->first_entry   = view->scroll < 0 ? 0 : view->scroll > last ? last : view->scroll;
  for (int i = 0; i < l->entries_shown && l->first_entry + i < count; ++i) {
    rl_spots_add(l, RL_ACTION_CHART_SELECT, rl_view_listed_chart(view, l->first_entry + i),
                 (RlRect){rows.x, rows.y + i * pitch, rows.w, pitch - 2});
  }
}

/* ---- what is asked ---- */

static void
answers_add(RlLayout *const l, const RlRect row, const int *const answers, const int count,
            const double gap)
{
  RlRect       rest = row;
  const double w    = (row.w - gap * (count - 1)) / count;
  for (int i = 0; i < count; ++i) {
    rl_spots_add(l, RL_ACTION_CHARTS_ANSWER, answers[i], rl_rect_cut_left(&rest, w));
    rl_rect_cut_left(&rest, gap);
  }
}

static void
keys_add(RlLayout *const l, const RlRect area, const int columns)
{
  const double w = area.w / columns;
  const double h = area.h * columns / RL_CHART_KEYS;
  for (int i = 0; i < RL_CHART_KEYS; ++i) {
    const RlRect at = rl_rect_grid_cell(area.x, area.y, w, h, columns, i);
    rl_spots_add(l, RL_ACTION_CHART_KEY, i, rl_rect_inset(at, w / 24));
  }
}

/* A box over the middle, and nothing else can be used: words, what is typed or the keys, answers.
 */
static void
asking_add(RlLayout *const l, const RlView *const view, const double button)
{
  static const int answers[][3] = {
    [RL_CHARTS_ASK_LOST] = {RL_CHARTS_SAVE_FIRST, RL_CHARTS_OPEN_ANYWAY, RL_CHARTS_CANCEL},
    [RL_CHARTS_ASK_OVER] = {RL_CHARTS_SAVE_OVER, RL_CHARTS_OTHER_NAME, RL_CHARTS_CANCEL},
    [RL_CHARTS_ASK_GONE] = {RL_CHARTS_SAVE_AGAIN, RL_CHARTS_OTHER_NAME, RL_CHARTS_CANCEL},
    [RL_CHARTS_ASK_NAME] = {RL_CHARTS_SAVE_NAME, RL_CHARTS_CANCEL},
    [RL_CHARTS_ASK_KEY]  = {RL_CHARTS_CANCEL},
  };
  static const int  counts[] = {0, 3, 3, 3, 2, 1};
  const RlChartsAsk ask      = view->charts.ask;
  const double      pad      = l->value;
  const int         columns  = l->w > 420 ? 12 : 6;
  const double      w        = fmin(l->w - 2 * l->margin, l->value * 44);
  const double      more     = ask == RL_CHARTS_ASK_NAME  ? button + pad
                               : ask == RL_CHARTS_ASK_KEY ? button * RL_CHART_KEYS / columns + pad
                                                          : 0;
  const double      h        = l->value * 4.4 + more + button + 2 * pad;
  l->live                    = l->spots;
  l->asking                  = (RlRect){(l->w - w) / 2, fmax(l->margin, (l->h - h) / 2), w, h};
  RlRect box                 = rl_rect_inset(l->asking, pad);
  l->asked                   = rl_rect_cut_top(&box, l->value * 4.4);
  if (ask == RL_CHARTS_ASK_NAME) {
    rl_spots_add(l, RL_ACTION_CARET, 0, rl_rect_cut_top(&box, button));
  } else if (ask == RL_CHARTS_ASK_KEY) {
    keys_add(l, rl_rect_cut_top(&box, more - pad), columns);
  }
  answers_add(l, rl_rect_cut_bottom(&box, button), answers[ask], counts[ask], pad / 2);
}

void
rl_charts_place(RlLayout *const l, const RlView *const view)
{
  static const RlActionKind ends[] = {RL_ACTION_CHART_OPEN, RL_ACTION_CHART_SAVE,
                                      RL_ACTION_CHART_SAVE_AS, RL_ACTION_CHART_NEW,
                                      RL_ACTION_CHARTS};
  const bool                wide   = l->shape == RL_SHAPE_FULL;
  const bool                tall   = l->h > l->w;
  const double              m      = l->margin;
  const double              button = wide ? 46 : 30;
  RlRect                    area   = {m, m, l->w - 2 * m, l->h - 2 * m};
  RlRect                    foot   = rl_rect_cut_bottom(&area, button);
  rl_rect_cut_bottom(&area, m / 2);
  l->problem =
    wide ? rl_rect_cut_left(&foot, foot.w - 640) : rl_rect_cut_bottom(&area, l->value * 2.3);
  rl_rect_cut_left(&foot, wide ? m : 0);
  rl_rect_cut_bottom(&area, m / 2);
  places_add(l, &area, wide);
  l->charts = tall ? rl_rect_cut_top(&area, area.h * 0.55) : rl_rect_cut_left(&area, area.w * 0.48);
  rl_rect_cut_left(&area, tall ? 0 : m * 1.3);
  rl_rect_cut_top(&area, tall ? m : 0);
  l->chart_shown = area;
  list_add(l, view, wide);
  rl_spots_add_buttons(l, foot, ends, 5, wide ? 8 : 4);
  if (view->charts.ask != RL_CHARTS_ASK_NOTHING) {
    asking_add(l, view, button);
  }
}
