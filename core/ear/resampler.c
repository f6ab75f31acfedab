/* SPDX-License-Identifier: ISC */
#include "core/ear/resampler.h"

#include "core/ear/four.h"

#include <math.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

enum { ZEROS = 10 /* zero crossings on each side */ };

static const float loudest = 8.0F, faintest = 1e-15F;

void
rl_resampler_init(RlResampler *const r, const double rate)
{
  memset(r, 0, sizeof(*r));
  r->step           = rate / RL_EAR_RATE;
  const double wide = r->step > 1 ? r->step : 1; /* input samples for a zero crossing */
  int          taps = (2 * (int)ceil(ZEROS * wide) + 3) & ~3;
  taps              = taps > RL_RESAMPLER_TAPS ? RL_RESAMPLER_TAPS : taps;
  const int middle  = taps / 2;
  r->taps           = taps;
  r->next           = middle;
  for (int p = 0; p <= RL_RESAMPLER_PHASES; ++p) {
    double sum = 0;
    for (int k = 0; k < taps; ++k) {
      const double x      = (k - middle + 1 - (double)p / RL_RESAMPLER_PHASES) / wide;
      const double sinc   = fabs(x) < 1e-9 ? 1 : sin(0.92 * pi * x) / (0.92 * pi * x);
      const double u      = 2 * x * wide / taps;
      const double window = fabs(u) < 1 ? 0.5 + 0.5 * cos(pi * u) : 0;
      r->tap[p][k]        = (float)(sinc * window);
      sum += (double)r->tap[p][k];
    }
    for (int k = 0; k < taps; ++k) {
      r->tap[p][k] = (float)((double)r->tap[p][k] / sum);
    }
  }
}

static float
row_sum(const float *const a, const float *const b, const int count)
{
  RlFour sum = {0};
  for (int k = 0; k < count; k += 4) {
    sum += rl_four_at(a + k) * rl_four_at(b + k);
  }
  return rl_four_sum(sum);
}

static float
sample_mend(const float x)
{
  const float size = fabsf(x);
  if (size > faintest && size < loudest) { /* nearly all of them */
    return x;
  }
  const float clipped = x > loudest ? loudest : x < -loudest ? -loudest : x;
  return clipped > faintest || clipped < -faintest ? clipped : 0.0F; /* no number is neither */
}

uint32_t
rl_resampler_take(RlResampler *const r, const float *const sound, const uint32_t frames,
                  float out[2], int *const count)
{
  uint32_t taken = 0;
  int      at    = r->at;
  double   next  = r->next;
  for (; taken < frames && next >= 0; next -= 1) {
    const float x         = sample_mend(sound[taken++]);
    r->held[at]           = x;
    r->held[at + r->taps] = x;
    at                    = at + 1 < r->taps ? at + 1 : 0;
  }
  int made = 0;
  for (; next < 0 && made < 2; next += r->step) {
    const double past  = 1 + next; /* 0..1 behind the middle of the window */
    const int    phase = (int)(past * RL_RESAMPLER_PHASES + 0.5);
    out[made++]        = row_sum(r->tap[phase], r->held + at, r->taps);
  }
  *count  = made;
  r->at   = at;
  r->next = next;
  return taken;
}

int
rl_resampler_push(RlResampler *const r, const float sample, float out[2])
{
  int count = 0;
  (void)rl_resampler_take(r, &sample, 1, out, &count);
  return count;
}
