/* SPDX-License-Identifier: ISC */
#include "core/voice/upsample.h"

#include <math.h>

enum { REACH = 24 /* samples to each side */ };

static const double pi = 3.14159265358979323846;

size_t
rl_upsample_count(const size_t count, const double from, const double to)
{
  return (size_t)((double)count * (to / from));
}

/* sin(pi * (part - k)) is sin(pi * part), its sign turned for every other k. */
static float
sample_at(const float *const sound, const size_t count, const double place)
{
  const ptrdiff_t middle = (ptrdiff_t)floor(place);
  const double    part   = place - (double)middle;
  const double    sine   = sin(pi * part) / pi;
  double          sum    = 0;
  if (part < 1e-9) {
    return middle < (ptrdiff_t)count ? sound[middle] : 0;
  }
  for (ptrdiff_t k = 1 - REACH; k <= REACH; ++k) {
    const ptrdiff_t at = middle + k;
    const double    x  = part - (double)k;
    if (at >= 0 && at < (ptrdiff_t)count) {
      const double window = 0.5 + 0.5 * cos(pi * x / (REACH + 1));
      sum += (double)sound[at] * window * (k % 2 ? -sine : sine) / x;
    }
  }
  return (float)sum;
}

void
rl_upsample(const float *const sound, const size_t count, const double from, const double to,
            float *const out, const size_t room)
{
  for (size_t i = 0; i < room; ++i) {
    out[i] = sample_at(sound, count, (double)i * from / to);
  }
}
