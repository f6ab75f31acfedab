/* SPDX-License-Identifier: ISC */
#include "core/ear/resampler.h"

#include "core/ear/four.h"

#include <math.h>
#include <stdbool.h>
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

/* Four with the same taps, so many samples apart, each as row_sum() has it. */
static void
four_row_sums(const float *const taps, const float *const held, const int apart, const int count,
              float *const to)
{
  RlFour sum[4] = {{0}}, more[4] = {{0}};
  int    k = 0;
  for (; k + 8 <= count; k += 8) {
    const RlFour first = rl_four_at(taps + k), second = rl_four_at(taps + k + 4);
    for (int n = 0; n < 4; ++n) {
      sum[n] += first * rl_four_at(held + n * apart + k);
      more[n] += second * rl_four_at(held + n * apart + k + 4);
    }
  }
  for (int n = 0; n < 4; ++n) {
    if (k < count) {
      sum[n] += rl_four_at(taps + k) * rl_four_at(held + n * apart + k);
    }
    sum[n] += more[n];
  }
  rl_four_put(to, rl_four_sums(sum[0], sum[1], sum[2], sum[3]));
}

/* What is no number is taken for 0, what is too loud is clipped, what is too faint is 0. */
static RlFour
four_mend(const RlFour x)
{
  const RlFour     size  = (RlFour)((RlFourMask)x & 0x7FFFFFFF);
  const RlFourMask heard = size > faintest; /* no number is not */
  const RlFour     sound = (RlFour)((RlFourMask)x & heard);
  return rl_four_max(rl_four_min(sound, rl_four(loudest)), rl_four(-loudest));
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

/* Makes up to `most` of `out` from what is held and up to `many` samples behind it; how many of
 * those it took is in *used. At rates that divide evenly every output meets the same row: four at
 * once. */
static int
output_make(RlResampler *const r, float *const out, const int most, const int many, int *const used)
{
  const float *const from = r->held + r->end - r->taps;
  const int          step = (int)r->step;
  const bool         even = r->step == step;
  int                made = 0, at = 0;
  while (made < most) {
    const int need = r->next < 0 ? 0 : (int)r->next + 1, left = many - at - need;
    if (left < 0) {
      break;
    }
    at += need;
    r->next -= need;
    const float *const row = r->tap[(int)((1 + r->next) * RL_RESAMPLER_PHASES + 0.5)];
    r->next += r->step; /* the row is of where this was behind the middle */
    if (even && made + 4 <= most && 3 * step <= left) {
      four_row_sums(row, from + at, step, r->taps, out + made);
      made += 4;
      at += 3 * step;
    } else {
      out[made++] = row_sum(row, from + at, r->taps);
    }
  }
  *used = at;
  return made;
}

uint32_t
rl_resampler_take(RlResampler *const r, const float *const sound, const uint32_t frames,
                  float *const out, const int most, int *const count)
{
  uint32_t taken = 0;
  int      made  = 0;
  while (made < most && (taken < frames || r->next < 0)) {
    const int    room = room_make(r), left = (int)(frames - taken < 4096 ? frames - taken : 4096);
    const double wanted = r->next + (double)(most - made) * r->step + 2; /* enough for the rest */
    int          many   = left < room ? left : room, used;
    many                = many < wanted ? many : (int)wanted;
    mend(r->held + r->end, sound + taken, many);
    made += output_make(r, out + made, most - made, many, &used);
    if (made < most) {
      r->next -= many - used;
      used = many;
    }
    taken += (uint32_t)used;
    r->end += used;
  }
  *count = made;
  return taken;
}

int
rl_resampler_push(RlResampler *const r, const float sample, float out[2])
{
  int count = 0;
  (void)rl_resampler_take(r, &sample, 1, out, 2, &count);
  return count;
}
