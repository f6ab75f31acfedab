/* SPDX-License-Identifier: ISC */
/* Feeds the ear any sound: the first bytes choose form, rate, key and block; each further byte is a
   run of samples of one kind (a tone, a click, noise, silence, what is no number, denormals,
   clipped), or a hint. Reports must be numbers within the form, and come every 20 ms. A libFuzzer
   harness.

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it. */
#include "core/chart/chart.h"
#include "core/ear/ear.h"
#include "demand.h"

#include <math.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { RUN = 1200, BLOCKS = 4, RUNS_MAX = 200 };

static RlForm form;

typedef struct {
  RlEar   *ear;
  double   rate;
  uint64_t frames, last; /* fed; of the last report */
  uint32_t block, seed;
  double   beats;
} Fed;

static void
report_check(Fed *const f, const RlEarReport *const r)
{
  DEMAND(r->frame <= f->frames && r->frame > f->last);
  DEMAND((double)(r->frame - f->last) < 0.021 * f->rate + 2);
  DEMAND(r->at >= 0 && r->at < f->beats - PLANTED * 8);
  DEMAND(r->bar >= 1 && r->bar <= form.bars && r->chorus >= 1);
  DEMAND(r->beat >= 0 && r->beat < RL_BAR_BEATS_MAX);
  DEMAND(r->tempo > 40 && r->tempo < 260);
  DEMAND(r->sure >= 0 && r->sure <= 1 && r->mass >= 0 && r->mass <= 1);
  DEMAND(r->cents >= -50.1 && r->cents <= 50.1);
  DEMAND(r->key >= 0 && r->key < 12 && r->key_sure >= 0 && r->key_sure <= 1.001);
  f->last = r->frame;
}

static float
sample_of(Fed *const f, const int kind, const uint32_t i)
{
  const double t = (double)(f->frames + i) / f->rate;
  f->seed        = f->seed * 1664525U + 1013904223U;
  switch (kind) {
  case 0:
    return 0;
  case 1:
    return (float)(f->seed >> 8) / 8388608.0F - 1;
  case 2:
    return NAN;
  case 3:
    return i % 2 ? INFINITY : -INFINITY;
  case 4:
    return 1e-40F;
  case 5:
    return sin(880 * t) > 0 ? 1.0F : -1.0F;
  case 6:
    return i < 60 ? 1.0F : 0.0F;
  case 7:
    return 3e38F;
  default:
    return 0.3F * (float)sin(2 * 3.14159265 * 55 * pow(2, kind / 12.0) * t);
  }
}

static void
run_feed(Fed *const f, const int kind)
{
  float *const sound =
    (float *)malloc(RUN * sizeof(float)); /* exact, so that one too far is seen */
  DEMAND(sound);
  for (uint32_t i = 0; i < RUN; ++i) {
    sound[i] = sample_of(f, kind, i);
  }
  for (uint32_t at = 0; at < RUN;) {
    RlEarReport    report;
    const uint32_t left = RUN - at, now = left < f->block ? left : f->block;
    const uint32_t took = rl_ear_hear(f->ear, sound + at, now, &report);
    DEMAND(took >= 1 && took <= now);
    at += took;
    f->frames += took;
    if (report.fresh) {
      report_check(f, &report);
    }
  }
  free(sound);
}

static void
byte_feed(Fed *const f, const uint8_t byte)
{
  switch (byte) {
  case 250:
    rl_ear_locate(f->ear);
    break;
  case 251:
    rl_ear_half_time(f->ear);
    break;
  case 252:
    rl_ear_double_time(f->ear);
    break;
  case 253:
    rl_ear_tap(f->ear, (double)(f->seed % 1000));
    break;
  case 254:
    rl_ear_bar_one(f->ear);
    break;
  default:
    run_feed(f, byte % 64);
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  static const char *const charts[] = {"meter: 4/4\n[A]\n| I7 | IV7 | V7 N.C. | I7 |\n",
                                       "meter: 3/4\n[A]\n| i | V7/VII |\n",
                                       "meter: 6/8\n[A]\n| I |\n"};
  static const double      rates[]  = {22050, 44100, 48000, 96000, 192000};
  static const uint32_t    blocks[] = {1, 37, 512, 100000};
  RlChartError             error;
  if (size < 3) {
    return 0;
  }
  DEMAND(rl_chart_read(rl_slice(charts[data[0] % 3]), &form, &error));
  void *const room = malloc(rl_ear_bytes(&form));
  DEMAND(room);
  Fed f   = {.rate = rates[data[1] % 5], .block = blocks[data[2] % BLOCKS], .seed = data[2]};
  f.beats = form.starts[RL_AXIS_FELT][form.bars];
  f.ear   = rl_ear_init(room, &form, data[0] / 3 % 13 - 1, f.rate);
  for (size_t i = 3; i < size && i < RUNS_MAX; ++i) {
    byte_feed(&f, data[i]);
  }
  free(room);
  return 0;
}
