#include "wall.h"

#include <math.h>
#include <time.h>

static const double nanoseconds = 1e9; /* in a second */
static const double patience    = 0.1; /* seconds the line may be off, and two blocks */

int64_t
rl_wall_now(void)
{
  struct timespec now;
  clock_gettime(CLOCK_REALTIME, &now);
  return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

void
rl_wall_block(RlWall *const wall, const uint32_t frames, const int64_t now)
{
  const double  passed = wall->frames / wall->rate;
  const double  block  = frames / wall->rate;
  const int64_t due    = rl_wall_at(wall, wall->frames);
  const double  off    = (double)(now - due) / nanoseconds;
  const bool    lost   = fabs(off) > patience + 2 * fmax(block, passed);
  const double  follow = fmin(passed, 0.5); /* of a time constant of one second */
  wall->start          = !wall->known || lost ? now : due + llround(off * follow * nanoseconds);
  wall->frames         = frames;
  wall->known          = true;
}

int64_t
rl_wall_at(const RlWall *const wall, const int64_t frame)
{
  return wall->start + llround((double)frame / wall->rate * nanoseconds);
}
