/* SPDX-License-Identifier: ISC */
#include "ui/draw/fill.h"

#include <math.h>

int
rl_fill_steps(const RlView *const v)
{
  const double fill = rl_view_fill(v);
  return (int)ceil((v->calm ? ceil(fill * 4) / 4 : fill) * RL_FILL_STEPS);
}
