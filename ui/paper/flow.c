/* SPDX-License-Identifier: ISC */
#include "ui/paper/flow.h"

#include "ui/paper/pen.h"

#include <assert.h>
#include <math.h>

static bool
drawn(const RlFlow *const f)
{
  return f->paint.cr && f->page >= f->from && f->page < f->to;
}

void
rl_flow_turn(RlFlow *const f, const bool begins)
{
  if (f->turn && drawn(f)) {
    f->turn(f, begins);
  }
}

bool
rl_flow_reserve(RlFlow *const f, const double height, RlRect *const box)
{
  assert(height >= 0);
  if (f->y + height > f->text.y + f->text.h && f->y > f->text.y) {
    rl_flow_turn(f, false);
    ++f->page;
    f->y = f->text.y;
    rl_flow_turn(f, true);
  }
  *box = (RlRect){f->text.x, f->y, f->text.w, height};
  f->y += height;
  return drawn(f);
}

void
rl_flow_paragraph(RlFlow *const f, const double size, const char *const words)
{
  /* lines are estimated a little too wide: the estimate is for single words */
  const double pitch = size * 1.35;
  const int    lines = (int)ceil(0.81 * rl_pen_width_estimate(words, size) / f->text.w);
  RlRect       box;
  if (lines && rl_flow_reserve(f, lines * pitch, &box)) {
    rl_write_lines(&f->paint, box, (RlStyle){size, RL_PLAIN, RL_INK_PRINT, RL_LEFT}, words, lines);
  }
}
