/* SPDX-License-Identifier: ISC */
#include "plugin/shared/frame_clock.h"

#include <math.h>
#include <time.h>

static const double nanoseconds = 1e9; /* in a second */
static const double patience    = 0.1; /* seconds the line may be off, and two blocks */

int64_t
rl_frame_clock_now(void)
{
  struct timespec now;
  clock_gettime(CLOCK_REALTIME, &now);
  return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

void
rl_frame_clock_block(RlFrameClock *const frame_clock, const uint32_t frames, const int64_t now)
{
  const double  passed = frame_clock->frames / frame_clock->rate;
  const double  block  = frames / frame_clock->rate;
  const int64_t due    = rl_frame_clock_at(frame_clock, frame_clock->frames);
  const double  off    = (double)(now - due) / nanoseconds;
  const bool    lost   = fabs(off) > patience + 2 * fmax(block, passed);
  const double  follow = fmin(passed, 0.5); /* of a time constant of one second */
  frame_clock->start =
    !frame_clock->known || lost ? now : due + llround(off * follow * nanoseconds);
  frame_clock->frames = frames;
  frame_clock->known  = true;
}

int64_t
rl_frame_clock_at(const RlFrameClock *const frame_clock, const int64_t frame)
{
  return frame_clock->start + llround((double)frame / frame_clock->rate * nanoseconds);
}
