/* SPDX-License-Identifier: ISC */
/* Feeds the phrase's ear any clip: the first bytes choose rate, sides, what is known of the grid;
   each further byte is a run of samples of one kind (a tone, a chord, a click, noise, silence, what
   is no number, denormals, clipped). Notes must lie in the clip, one after the other, within the
   range. A libFuzzer harness.

   RL_PLANTED_BUG, defined for one build only, reads one sample too far below, so that one can see
   the fuzzer find it. */
#include "core/ear/phrase/beat.h"
#include "core/ear/phrase/lift.h"
#include "demand.h"

#include <math.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { RUNS_MAX = 24, HEAD = 4 };

static RlLifted lifted;

static float
sample_of(const int kind, const double t, const uint32_t seed)
{
  switch (kind) {
  case 0:
    return 0;
  case 1:
    return (float)(seed >> 8) / 8388608.0F - 1;
  case 2:
    return NAN;
  case 3:
    return seed >> 31 ? INFINITY : -INFINITY;
  case 4:
    return 1e-40F;
  case 5:
    return sin(880 * t) > 0 ? 1.0F : -1.0F;
  case 6:
    return 3e38F;
  default:
    break;
  }
  float sum = 0;
  for (int n = 1; n <= 6; ++n) {
    sum += 0.1F * (float)sin(2 * 3.14159265 * n * 55 * pow(2, kind / 12.0) * t);
  }
  return sum;
}

/* One channel: `runs` bytes, each a run. */
static float *
channel_make(const uint8_t *const runs, const size_t count, const size_t run, const double rate)
{
  float *const sound = malloc(sizeof(float) * count * run);
  uint32_t     seed  = 5;
  DEMAND(sound);
  for (size_t i = 0; i < count * run; ++i) {
    seed     = seed * 1664525U + 1013904223U;
    sound[i] = sample_of(runs[i / run] % 64, (double)i / rate, seed);
  }
  return sound;
}

/* Exact memory, so that one too far is seen. */
static float *
resampled(const float *const sound, const size_t frames, const double rate)
{
  float *const out = malloc(sizeof(float) * rl_lift_samples(frames, rate));
  DEMAND(out || !rl_lift_samples(frames, rate));
  rl_lift_resample(sound, frames, 1, rate, out);
  return out;
}

static void
lifted_check(const size_t samples)
{
  const float end = (float)samples / RL_LIFT_RATE + 0.05F;
  float       sum = 0;
  DEMAND(lifted.notes >= 0 && lifted.notes <= RL_LIFT_NOTES_MAX);
  for (int i = 0; i < lifted.notes; ++i) {
    const RlLiftedNote *const n = &lifted.note[i];
    DEMAND(n->midi >= RL_LIFT_LOWEST && n->midi <= RL_LIFT_HIGHEST);
    DEMAND(n->on >= 0 && n->off > n->on && n->off <= end);
    DEMAND(n->sure >= RL_LIFT_LIKELY && n->sure <= 1);
    DEMAND(!i || n->on > lifted.note[i - 1].on);
    sum += n->on;
  }
  DEMAND(isfinite(sum) && isfinite(lifted.tuning) && isfinite(lifted.swing));
}

static void
clip_lift(const RlLiftSound *const sound, const RlLiftGrid *const grid)
{
  const size_t bytes  = rl_lift_bytes(sound->samples);
  void *const  memory = malloc(bytes);
  double       beat = 0, origin = 0;
  DEMAND(memory && bytes < 32U << 20);
  memset(memory, 0xFF, bytes);
  rl_lift(sound, grid, RL_LIFT_LIKELY, memory, &lifted);
  lifted_check(sound->samples);
  DEMAND(rl_lift_beat(&lifted, &beat, false, &origin) == (lifted.notes > 0));
  DEMAND(beat >= 0 && beat < 1 && isfinite(origin));
  free(memory);
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  static const double   rates[]  = {22050, 44100, 48000, 192000};
  static const double   beats[]  = {0, 0.28, 0.5, 1.2, 1e-3};
  static const uint16_t scales[] = {0xFFF, 0, 0x6B5, 0x001};
  if (size <= HEAD) {
    return 0;
  }
  const size_t count = size - HEAD < RUNS_MAX ? size - HEAD : RUNS_MAX;
  const double rate  = rates[data[0] % 4];
  const size_t run   = (size_t)(rate * (1 + data[0] / 4 % 8) / 40);
  float *const raw   = channel_make(data + HEAD, count, run, rate);
  float *const left  = resampled(raw, count * run, rate);
  float *const right = data[1] & 1 ? resampled(raw, count * run / 2, rate) : NULL;
  const size_t whole = rl_lift_samples(right ? count * run / 2 : count * run, rate);

  const RlLiftGrid grid = {beats[data[2] % 5], ((int)data[3] - 128) * 0.37, data[2] / 5 % 5, scales,
                           (RlLiftFeel)(data[1] / 2 % 3)};
  const RlLiftSound sound = {left, right, whole + PLANTED};
  clip_lift(&sound, &grid);
  free(right);
  free(left);
  free(raw);
  return 0;
}
