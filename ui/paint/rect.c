/* SPDX-License-Identifier: ISC */
#include "ui/paint/rect.h"

#include <assert.h>

RlRect
rl_rect_inset(const RlRect b, const double by)
{
  return (RlRect){b.x + by, b.y + by, b.w - 2 * by, b.h - 2 * by};
}

RlRect
rl_rect_cut_left(RlRect *const b, const double width)
{
  const RlRect part = {b->x, b->y, width, b->h};
  b->x += width;
  b->w -= width;
  return part;
}

RlRect
rl_rect_cut_right(RlRect *const b, const double width)
{
  b->w -= width;
  return (RlRect){b->x + b->w, b->y, width, b->h};
}

RlRect
rl_rect_cut_top(RlRect *const b, const double height)
{
  const RlRect part = {b->x, b->y, b->w, height};
  b->y += height;
  b->h -= height;
  return part;
}

RlRect
rl_rect_cut_bottom(RlRect *const b, const double height)
{
  b->h -= height;
  return (RlRect){b->x, b->y + b->h, b->w, height};
}

RlRect
rl_rect_grid_cell(const double x, const double y, const double w, const double h, const int columns,
                  const int n)
{
  assert(columns > 0 && n >= 0);
  const int row = n / columns;
  return (RlRect){x + n % columns * w, y + row * h, w, h};
}

bool
rl_rect_contains(const RlRect b, const double x, const double y)
{
  return x >= b.x && y >= b.y && x < b.x + b.w && y < b.y + b.h;
}
