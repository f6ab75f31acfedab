/* SPDX-License-Identifier: ISC */
#include "ui/controller/redraw.h"

#include "ui/controller/controller_state.h"

#include <assert.h>
#include <math.h>
#include <string.h>

_Static_assert(RL_DAMAGE_MAX >= 1 && (int)RL_DAMAGE_MAX <= (int)RL_PIECES_MAX,
               "damage_add() lets the last part grow");

static RlRect
around(const RlRect a, const RlRect b)
{
  const double x = fmin(a.x, b.x);
  const double y = fmin(a.y, b.y);
  return (RlRect){x, y, fmax(a.x + a.w, b.x + b.w) - x, fmax(a.y + a.h, b.y + b.h) - y};
}

static bool
same_place(const RlRect a, const RlRect b)
{
  return a.x == b.x && a.y == b.y && a.w == b.w && a.h == b.h;
}

static double
area(const RlRect a)
{
  return a.w * a.h;
}

/* Adds a part. It is merged with another one where the box around both is at most a fifth larger
   than they are: few parts are drawn faster than many. Once there are RL_DAMAGE_MAX the last one
   grows. */
static int
damage_add(RlRect *const damage, const int count, const RlRect part)
{
  static const double waste = 1.2;
  if (part.w <= 0) {
    return count;
  }
  for (int i = 0; i < count; ++i) {
    const RlRect both = around(damage[i], part);
    if (area(both) <= waste * (area(damage[i]) + area(part))) {
      damage[i] = both;
      return count;
    }
  }
  if (count < RL_DAMAGE_MAX) {
    damage[count] = part;
    return count + 1;
  }
  damage[count - 1] = around(damage[count - 1], part);
  return count;
}

/* Lays out and describes the picture as it is now; false if nothing of the picture before can stay.
 */
static bool
picture_update(RlController *const c, const int width, const int height)
{
  RlRedraw *const r     = &c->redraw;
  const int       count = r->count;
  const int       first = r->layout.first_row;
  rl_layout_make(&r->layout, &c->view, width, height);
  rl_picker_look(c, &r->layout);
  memcpy(r->before, r->piece, sizeof(RlPiece) * (size_t)count);
  r->count         = rl_draw_pieces(&c->view, &r->layout, r->piece);
  const bool stays = !r->all && width == r->width && height == r->height && r->count == count &&
                     r->layout.first_row == first;
  r->all    = false;
  r->width  = width;
  r->height = height;
  return stays;
}

int
rl_redraw_parts(RlController *const c, const int width, const int height, RlRect *const damage)
{
  assert(width > 0 && height > 0 && damage);
  const RlRedraw *const r = &c->redraw;
  int                   n = 0;
  if (!picture_update(c, width, height)) {
    damage[0] = (RlRect){0, 0, width, height};
    return 1;
  }
  for (int i = 0; i < r->count; ++i) {
    const bool moved = !same_place(r->before[i].at, r->piece[i].at);
    if (r->before[i].looks != r->piece[i].looks || moved) {
      n = damage_add(damage, n, r->piece[i].at);
      n = moved ? damage_add(damage, n, r->before[i].at) : n;
    }
  }
  return n;
}
