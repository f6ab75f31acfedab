/* SPDX-License-Identifier: ISC */
#include "core/ear/player/lines.h"

#include "core/ear/four.h"
#include "core/ear/resampler.h"

#include <math.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

static const float quiet     = -90;                         /* dB */
static const float decibels  = 3.0103F;                     /* of a doubled power */
static const float peak_fall = 0.15F, lately_fall = 0.011F; /* dB a block */

static const float hann8[8] = {0.0381F, 0.3087F, 0.6913F, 0.9619F,
                               0.9619F, 0.6913F, 0.3087F, 0.0381F};
static const float hann4[4] = {0.1464F, 0.8536F, 0.8536F, 0.1464F};

/* The modified Bessel function of the first kind, order 0. */
static double
bessel(const double x)
{
  double sum = 1, part = 1;
  for (int k = 1; k < 30; ++k) {
    part *= x * x / (4.0 * k * k);
    sum += part;
  }
  return sum;
}

/* A block fills half of its transform: what lies between two bins is their sum under a sinc that
 * ends by a window of Kaiser's (87 dB: Oppenheim, Schafer, Discrete-Time Signal Processing, 7.5).
 */
static void
line_place(RlLines *const l, const int i, const double bin)
{
  static const double beta  = 8.63;
  const int           first = (int)floor(bin) - RL_LINES_NEAR / 2 + 1;
  l->first[i]               = first + RL_LINES_NEAR;
  for (int k = 0; k < RL_LINES_NEAR; ++k) {
    const double off = bin - (first + k), part = off / (0.5 * RL_LINES_NEAR);
    const double sinc = fabs(off) < 1e-9 ? 1 : sin(pi * off) / (pi * off);
    l->near[i][k] = (float)(sinc * bessel(beta * sqrt(fmax(0, 1 - part * part))) / bessel(beta));
  }
}

void
rl_lines_init(RlLines *const l, const RlReeds *const reeds)
{
  memset(l, 0, sizeof(*l));
  l->count = reeds->lines;
  for (int i = 0; i < l->count; ++i) {
    const double step = 2 * pi * (double)reeds->line_hz[i] / RL_EAR_RATE;
    line_place(l, i, (double)reeds->line_hz[i] * RL_PRODUCTS_SIZE / RL_EAR_RATE);
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
  l->lately = quiet;
}

/* The newest block's spectrum, with some bins below 0 Hz. */
typedef struct {
  float re[RL_LINES_NEAR + RL_PRODUCTS_BINS], im[RL_LINES_NEAR + RL_PRODUCTS_BINS];
} RlBins;

static void
bins_make(RlBins *const to, const RlProducts *const products)
{
  rl_products_spectrum(products, to->re + RL_LINES_NEAR, to->im + RL_LINES_NEAR);
  for (int k = 1; k <= RL_LINES_NEAR; ++k) {
    to->re[RL_LINES_NEAR - k] = to->re[RL_LINES_NEAR + k];
    to->im[RL_LINES_NEAR - k] = -to->im[RL_LINES_NEAR + k];
  }
}

/* The newest block at four lines, turned to each line's own phase; the turns are kept at length 1.
 */
static void
four_lines(RlLines *const l, const int i, const RlBins *const bins)
{
  RlFour re[4] = {{0}}, im[4] = {{0}};
  for (int n = 0; n < 4; ++n) {
    const float *const near = l->near[i + n];
    const int          from = l->first[i + n];
    for (int k = 0; k < RL_LINES_NEAR; k += 4) {
      re[n] += rl_four_at(near + k) * rl_four_at(bins->re + from + k);
      im[n] += rl_four_at(near + k) * rl_four_at(bins->im + from + k);
    }
  }
  const RlFour c = rl_four_sums(re[0], re[1], re[2], re[3]);
  const RlFour s = rl_four_sums(im[0], im[1], im[2], im[3]);
  const RlFour a = rl_four_at(l->at_re + i), b = rl_four_at(l->at_im + i);
  const RlFour turn_re = rl_four_at(l->turn_re + i), turn_im = rl_four_at(l->turn_im + i);
  rl_four_put(l->re[l->newest] + i, c * a + s * b);
  rl_four_put(l->im[l->newest] + i, s * a - c * b);
  const RlFour x = a * turn_re - b * turn_im, y = a * turn_im + b * turn_re;
  const RlFour length = 1.5F - 0.5F * (x * x + y * y);
  rl_four_put(l->at_re + i, x * length);
  rl_four_put(l->at_im + i, y * length);
}

/* The rows of the last blocks, the newest first. */
typedef struct {
  const float *re[RL_TAPE_BLOCKS], *im[RL_TAPE_BLOCKS];
} RlRows;

static void
rows_find(RlRows *const to, const RlLines *const l)
{
  for (int b = 0; b < RL_TAPE_BLOCKS; ++b) {
    const int row = (l->newest + RL_TAPE_BLOCKS - b) % RL_TAPE_BLOCKS;
    to->re[b]     = l->re[row];
    to->im[b]     = l->im[row];
  }
}

/* Four lines under a window of `count` blocks. */
static inline void
four_windowed(const RlRows *const rows, const int i, const float *const window, const int count,
              RlFour to[2])
{
  RlFour re = {0}, im = {0};
  for (int b = 0; b < count; ++b) {
    re += window[b] * rl_four_at(rows->re[b] + i);
    im += window[b] * rl_four_at(rows->im[b] + i);
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
  RlBins bins;
  RlRows rows;
  bins_make(&bins, &tape->products);
  rows_find(&rows, l);
  float *const fast = l->past[l->now];
  for (int i = 0; i < l->count; i += 4) {
    RlFour slow[2], quick[2];
    four_lines(l, i, &bins);
    four_windowed(&rows, i, hann8, 8, slow);
    four_windowed(&rows, i, hann4, 4, quick);
    const RlFour now = four_decibels(quick);
    rl_four_put(l->now_re + i, slow[0]);
    rl_four_put(l->now_im + i, slow[1]);
    rl_four_put(l->slow + i, four_decibels(slow));
    rl_four_put(fast + i, now);
    rl_four_put(l->peak + i, rl_four_max(now, rl_four_at(l->peak + i) - peak_fall));
  }
  l->level[l->now] = decibels * rl_log2_near(rl_tape_power(tape, 256) + 1e-14F);
  l->lately        = rl_greater(l->level[l->now], l->lately - lately_fall);
}
