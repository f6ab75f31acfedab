/* SPDX-License-Identifier: ISC */
#include "ui/layout/rows.h"

#include "ui/layout/spots.h"

#include <assert.h>

void
rl_rows_divide(RlLayout *const l, const RlForm *const form)
{
  const int bars = form ? form->bars + form->ending_bars : 0;
  int       in   = 0;
  l->row_count   = 0;
  for (int i = 0; i < bars; ++i) {
    const bool opens = i > 0 && form->bar[i].section != form->bar[i - 1].section;
    if (i == 0 || in == RL_ROW_BARS || opens || i == form->bars) {
      l->row_bar[l->row_count++] = (uint16_t)i;
      in                         = 0;
    }
    ++in;
  }
  l->row_bar[l->row_count] = (uint16_t)bars;
}

int
rl_layout_row_of(const RlLayout *const l, const int index)
{
  assert(index >= 0);
  int row = 0;
  while (row + 1 < l->row_count && l->row_bar[row + 1] <= index) {
    ++row;
  }
  return row;
}

/* The first row in sight: the one scrolled to, else the first one with which the row after the
   playing row is in sight too. */
static int
first_row(const RlLayout *const l, const RlView *const view)
{
  const int index = rl_view_index(view);
  const int last  = l->row_count - l->rows_shown;
  const int row   = index >= 0 ? rl_layout_row_of(l, index) : 0;
  const int ahead = l->rows_shown > 1 ? row + 2 - l->rows_shown : row;
  const int first = view->follow ? ahead : view->scroll;
  return first > last ? (last > 0 ? last : 0) : first > 0 ? first : 0;
}

RlRect
rl_layout_bar(const RlLayout *const l, const int index)
{
  const int    row   = rl_layout_row_of(l, index);
  const int    line  = row - l->first_row;
  const int    first = l->row_bar[line < 0 ? row : l->rows_shown == 1 ? l->first_row : row];
  const int    cell  = index - first;
  const double gap   = l->row_pitch / 8;
  const bool   seen =
    line >= 0 && (line < l->rows_shown || l->rows_shown == 1) && cell < l->row_cells;
  const double w = l->rows.w / l->row_cells;
  const double y = l->rows.y + (l->rows_shown == 1 ? 0 : line) * l->row_pitch;
  return seen && index < l->row_bar[l->row_count]
           ? (RlRect){l->rows.x + cell * w, y + gap, w, l->row_pitch - gap}
           : (RlRect){0, 0, 0, 0};
}

/* A spot on every bar in sight. */
static void
bars_add(RlLayout *const l)
{
  for (int i = l->row_bar[l->first_row]; i < l->row_bar[l->row_count]; ++i) {
    const RlRect bar = rl_layout_bar(l, i);
    if (bar.w == 0) {
      return;
    }
    rl_spots_add(l, RL_ACTION_BAR_EDIT, i, bar);
  }
}

void
rl_rows_place(RlLayout *const l, const RlView *const view, const RlRect area, const double least,
              const double most)
{
  const double fit = area.h / (l->row_count ? l->row_count : 1);
  l->rows          = area;
  l->row_pitch     = fit > most ? most : fit < least ? least : fit;
  l->rows_shown    = (int)(area.h / l->row_pitch + 1e-6);
  l->rows_shown    = l->rows_shown < 1 ? 1 : l->rows_shown;
  l->first_row     = first_row(l, view);
  bars_add(l);
}
