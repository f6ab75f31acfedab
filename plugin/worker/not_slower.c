/* SPDX-License-Identifier: ISC */
/* In the place of slower.c where the build has no SoundTouch. */
#include "plugin/worker/slower.h"

bool
rl_slower_can(void)
{
  return false;
}

bool
rl_slower(const float *const sound, const size_t count, const double rate, const double speed,
          float *const out, const size_t room)
{
  (void)sound;
  (void)count;
  (void)rate;
  (void)speed;
  (void)out;
  (void)room;
  return false;
}
