/* SPDX-License-Identifier: ISC */
#include "plugin/rt/trigger.h"

enum { SURE = 2, PLAYED = -3 };

bool
rl_trigger_moves(RlTrigger *const t, const bool up, const int64_t now, const int64_t least,
                 const bool flips)
{
  const bool left  = t->rose && now - t->since >= least;
  const bool press = up || (left && t->habit != PLAYED && (flips || t->habit > 0));
  if (!up && t->rose && t->habit != PLAYED) {
    t->habit += left ? t->habit < SURE : -(t->habit > -SURE);
  }
  t->rose  = up;
  t->since = now;
  return press;
}

void
rl_trigger_is_set(RlTrigger *const t)
{
  t->rose = false;
}

void
rl_trigger_is_played(RlTrigger *const t)
{
  t->rose  = false;
  t->habit = PLAYED;
}
