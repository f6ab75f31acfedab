/* SPDX-License-Identifier: ISC */
#include "ui/layout/spots.h"

#include <assert.h>
#include <math.h>

void
rl_spots_add(RlLayout *const l, const RlActionKind kind, const int value, const RlRect at)
{
  if (l->spots < RL_SPOTS_MAX) {
    l->spot[l->spots++] = (RlSpot){{kind, value}, at};
  }
}

void
rl_spots_add_buttons(RlLayout *const l, const RlRect area, const RlActionKind *const actions,
                     const int count, const double gap)
{
  assert(count > 0);
  const double w = (area.w - gap * (count - 1)) / count;
  for (int i = 0; i < count; ++i) {
    rl_spots_add(l, actions[i], 0, (RlRect){area.x + i * (w + gap), area.y, w, area.h});
  }
}

int
rl_spots_first_shown(const RlView *const view, const int count, const int shown)
{
  const int last = count > shown ? count - shown : 0;
  return view->scroll < 0 ? 0 : view->scroll > last ? last : view->scroll;
}

int
rl_layout_hit(const RlLayout *const l, const double x, const double y)
{
  for (int i = l->spots - 1; i >= l->live; --i) {
    if (rl_rect_contains(l->spot[i].at, x / l->unit, y / l->unit)) {
      return i;
    }
  }
  return -1;
}

int
rl_layout_towards(const RlLayout *const l, const int from, const int dx, const int dy)
{
  assert(dx >= -1 && dx <= 1 && dy >= -1 && dy <= 1);
  if (from < l->live || from >= l->spots) {
    return l->spots > l->live ? l->live : -1;
  }
  const RlRect a    = l->spot[from].at;
  int          best = from;
  double       near = HUGE_VAL;
  for (int i = l->live; i < l->spots; ++i) {
    const RlRect b     = l->spot[i].at;
    const double x     = b.x + b.w / 2 - a.x - a.w / 2;
    const double y     = b.y + b.h / 2 - a.y - a.h / 2;
    const double ahead = x * dx + y * dy;
    const double aside = fabs(x * dy) + fabs(y * dx);
    const double far   = ahead + 3 * aside;
    if (i != from && ahead > 1 && far < near) {
      near = far;
      best = i;
    }
  }
  return best;
}
