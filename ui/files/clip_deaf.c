/* SPDX-License-Identifier: ISC */
/* In the place of clip_hear where the build has no kissfft or libsndfile: recordings are not
   listed. */
#include "ui/files/clip_hear.h"

bool
rl_clip_lift_can(void)
{
  return false;
}

void
rl_clip_hear(RlClipLift *const lift)
{
  lift->good = false;
}
