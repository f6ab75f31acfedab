/* SPDX-License-Identifier: ISC */
#include "core/ear/player/lines.h"

#include "core/ear/four.h"
#include "core/ear/resampler.h"

#include <math.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

static const float quiet     = -90;     /* dB */
static const float decibels  = 3.0103F; /* of a doubled power */
static const float peak_fall = 0.15F;   /* dB a block */

static const float hann8[8] = {0.0381F, 0.3087F, 0.6913F, 0.9619F,
                               0.9619F, 0.6913F, 0.3087F, 0.0381F};
static const float hann4[4] = {0.1464F, 0.8536F, 0.8536F, 0.1464F};

void
rl_lines_init(RlLines *const l, const RlReeds *const reeds)
{
  memset(l, 0, sizeof(*l));
  l->count = reeds->lines;
  for (int i = 0; i < l->count; ++i) {
    const double step = 2 * pi * (double)reeds->line_hz[i] / RL_EAR_RATE;
    for (int k = 0; k < RL_LINES_HALF; ++k) {
      l->cosine[i][k] = (float)cos(step * (k + 0.5));
      l->sine[i][k]   = (float)sin(step * (k + 0.5));
    }
    l->turn_re[i] = (float)cos(step * RL_TAPE_BLOCK);
    l->turn_im[i] = (float)sin(step * RL_TAPE_BLOCK);
    l->at_re[i]   = 1;
  }
  for (int i = 0; i < RL_REED_LINES; ++i) {
    l->peak[i] = quiet;
    for (int b = 0; b < RL_LINES_PAST; ++b) {
      l->past[b][i] = quiet;
    }
  }
  for (int b = 0; b < RL_LINES_PAST; ++b) {
    l->level[b] = quiet;
  }
}

/* A block as it is alike and unlike on both sides of its middle: what a cosine sees, and a sine. */
typedef struct {
  float even[RL_LINES_HALF], odd[RL_LINES_HALF];
} RlFolded;

static void
block_fold(RlFolded *const to, const float *const block)
{
  for (int k = 0; k < RL_LINES_HALF; ++k) {
    const float a = block[RL_LINES_HALF + k], b = block[RL_LINES_HALF - 1 - k];
    to->even[k] = a + b;
    to->odd[k]  = a - b;
  }
}

/* One block against one line, turned to the line's own phase; the turn is kept at length 1. */
static void
line_block(RlLines *const l, const int i, const RlFolded *const block)
{
  RlFour re = {0}, im = {0};
  for (int k = 0; k < RL_LINES_HALF; k += 4) {
    re += rl_four_at(block->even + k) * rl_four_at(l->cosine[i] + k);
    im -= rl_four_at(block->odd + k) * rl_four_at(l->sine[i] + k);
  }
  const float c = rl_four_sum(re), s = rl_four_sum(im), a = l->at_re[i], b = l->at_im[i];
  l->re[l->newest][i] = c * a + s * b;
  l->im[l->newest][i] = s * a - c * b;
  const float x = a * l->turn_re[i] - b * l->turn_im[i], y = a * l->turn_im[i] + b * l->turn_re[i];
  const float length = 1.5F - 0.5F * (x * x + y * y);
  l->at_re[i]        = x * length;
  l->at_im[i]        = y * length;
}

/* Four lines under a window of `count` blocks. */
static void
four_windowed(const RlLines *const l, const int i, const float *const window, const int count,
              RlFour to[2])
{
  RlFour re = {0}, im = {0};
  for (int b = 0; b < count; ++b) {
    const int row = (l->newest + RL_TAPE_BLOCKS - b) % RL_TAPE_BLOCKS;
    re += window[b] * rl_four_at(l->re[row] + i);
    im += window[b] * rl_four_at(l->im[row] + i);
  }
  const float scale = 4.0F / ((float)count * RL_TAPE_BLOCK);
  to[0]             = re * scale;
  to[1]             = im * scale;
}

static RlFour
four_decibels(const RlFour at[2])
{
  return decibels * rl_four_log2(at[0] * at[0] + at[1] * at[1] + 1e-14F);
}

void
rl_lines_block(RlLines *const l, const RlTape *const tape)
{
  l->newest = (l->newest + 1) % RL_TAPE_BLOCKS;
  l->now    = (l->now + 1) % RL_LINES_PAST;
  RlFolded block;
  block_fold(&block, tape->sound + tape->end - RL_TAPE_BLOCK);
  for (int i = 0; i < l->count; ++i) {
    line_block(l, i, &block);
  }
  float *const fast = l->past[l->now];
  for (int i = 0; i < l->count; i += 4) {
    RlFour slow[2], quick[2];
    four_windowed(l, i, hann8, 8, slow);
    four_windowed(l, i, hann4, 4, quick);
    const RlFour now = four_decibels(quick);
    rl_four_put(l->now_re + i, slow[0]);
    rl_four_put(l->now_im + i, slow[1]);
    rl_four_put(l->slow + i, four_decibels(slow));
    rl_four_put(fast + i, now);
    rl_four_put(l->peak + i, rl_four_max(now, rl_four_at(l->peak + i) - peak_fall));
  }
  l->level[l->now] = decibels * rl_log2_near(rl_tape_power(tape, 256) + 1e-14F);
}
