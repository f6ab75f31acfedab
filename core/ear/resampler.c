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
  r->end            = taps;
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
  RlFour sum = {0}, more = {0};
  int    k = 0;
  for (; k + 8 <= count; k += 8) {
    sum += rl_four_at(a + k) * rl_four_at(b + k);
    more += rl_four_at(a + k + 4) * rl_four_at(b + k + 4);
  }
  if (k < count) {
    sum += rl_four_at(a + k) * rl_four_at(b + k);
  }
  return rl_four_sum(sum + more);
}

/* What is no number is taken for 0, what is too loud is clipped, what is too faint is 0. */
static RlFour
four_mend(const RlFour x)
{
  const RlFourMask far   = (x > faintest) | (x < -faintest); /* no number is neither */
  const RlFour     heard = (RlFour)((RlFourMask)x & far);
  const RlFourMask above = heard > loudest, below = heard < -loudest;
  const RlFourMask limited =
    ((RlFourMask)rl_four(loudest) & above) | ((RlFourMask)rl_four(-loudest) & below);
  return (RlFour)(((RlFourMask)heard & ~(above | below)) | limited);
}

static void
mend(float *const to, const float *const from, const int count)
{
  int i = 0;
  for (; i + 4 <= count; i += 4) {
    rl_four_put(to + i, four_mend(rl_four_at(from + i)));
  }
  for (; i < count; ++i) {
    to[i] = four_mend(rl_four(from[i]))[0];
  }
}

/* Room behind what is held, in samples; what is looked at no more is dropped. */
static int
room_make(RlResampler *const r)
{
  if (r->end == RL_RESAMPLER_HELD) {
    memmove(r->held, r->held + r->end - r->taps, (size_t)r->taps * sizeof(float));
    r->end = r->taps;
  }
  return RL_RESAMPLER_HELD - r->end;
}

uint32_t
rl_resampler_take(RlResampler *const r, const float *const sound, const uint32_t frames,
                  float *const out, const int most, int *const count)
{
  uint32_t taken = 0;
  int      made  = 0;
  double   next  = r->next;
  while (made < most && (taken < frames || next < 0)) {
    const int    room = room_make(r), left = (int)(frames - taken < 4096 ? frames - taken : 4096);
    const double wanted = next + (double)(most - made) * r->step + 2; /* enough for the rest */
    int          many = left < room ? left : room, used = 0;
    many = many < wanted ? many : (int)wanted;
    mend(r->held + r->end, sound + taken, many);
    for (int need; made < most && (need = next < 0 ? 0 : (int)next + 1) <= many - used;) {
      used += need;
      next -= need;
      const int phase = (int)((1 + next) * RL_RESAMPLER_PHASES + 0.5); /* behind the middle */
      out[made++]     = row_sum(r->tap[phase], r->held + r->end + used - r->taps, r->taps);
      next += r->step;
    }
    if (made < most) {
      next -= many - used;
      used = many;
    }
    taken += (uint32_t)used;
    r->end += used;
  }
  *count  = made;
  r->next = next;
  return taken;
}

int
rl_resampler_push(RlResampler *const r, const float sample, float out[2])
{
  int count = 0;
  (void)rl_resampler_take(r, &sample, 1, out, 2, &count);
  return count;
}
