/* SPDX-License-Identifier: ISC */
#include "core/ear/player/tape.h"

#include "core/ear/four.h"
#include "core/ear/resampler.h"

#include <math.h>
#include <string.h>

static const float pi = 3.14159265F;

typedef double FourDoubles __attribute__((vector_size(32), aligned(8), may_alias));

/* blocks in each window */
static const int blocks[RL_WINDOWS] = {1, 2, 4, 8};

void
rl_tape_init(RlTape *const t, const int lags, const float lowest)
{
  memset(t, 0, sizeof(*t));
  rl_products_init(&t->products);
  t->lags = lags;
  t->end  = RL_TAPE_KEPT;
  t->hold = expf(-2 * pi * fminf(110, 0.7F * lowest) / RL_EAR_RATE);
}

/* Moves what is still looked at to the front, and the energy's zero along. */
static void
tape_rewind(RlTape *const t)
{
  const int    from = RL_TAPE_SIZE - RL_TAPE_KEPT;
  const double zero = t->energy[from];
  memmove(t->sound, t->sound + from, RL_TAPE_KEPT * sizeof(float));
  for (int i = 0; i <= RL_TAPE_KEPT; ++i) {
    t->energy[i] = t->energy[from + i] - zero;
  }
  t->end = RL_TAPE_KEPT;
}

float *
rl_tape_room(RlTape *const t, int *const lacks)
{
  if (t->end == RL_TAPE_SIZE) {
    tape_rewind(t);
  }
  *lacks = RL_TAPE_BLOCK - (t->end - RL_TAPE_KEPT) % RL_TAPE_BLOCK;
  return t->sound + t->end;
}

bool
rl_tape_put(RlTape *const t, const int samples)
{
  t->end += samples;
  return samples > 0 && (t->end - RL_TAPE_KEPT) % RL_TAPE_BLOCK == 0;
}

/* Two high passes; what has died away does not become denormal. */
static void
lows_take_out(RlTape *const t, float *const block)
{
  static const float tiny   = 1e-20F;
  float              before = t->before, between = t->between, passed = t->passed;
  const float        hold = t->hold;
  for (int i = 0; i < RL_TAPE_BLOCK; ++i) {
    const float first = hold * (between + (block[i] - before + tiny));
    passed            = hold * (passed + (first - between + tiny));
    before            = block[i];
    between           = first;
    block[i]          = passed;
  }
  t->before  = before;
  t->between = between;
  t->passed  = passed;
}

void
rl_tape_block(RlTape *const t)
{
  float *const block = t->sound + t->end - RL_TAPE_BLOCK;
  double      *sum   = t->energy + t->end - RL_TAPE_BLOCK;
  lows_take_out(t, block);
  for (int i = 0; i < RL_TAPE_BLOCK; ++i) {
    sum[i + 1] = sum[i] + (double)(block[i] * block[i]);
  }
  t->newest = (t->newest + 1) % RL_TAPE_BLOCKS;
  rl_products_block(&t->products, block, t->product[t->newest], t->lags);
}

float
rl_tape_power(const RlTape *const t, const int samples)
{
  return (float)((t->energy[t->end] - t->energy[t->end - samples]) / samples);
}

/* The row that many blocks before the newest. */
static const float *
row(const RlTape *const t, const int before)
{
  return t->product[(t->newest + RL_TAPE_BLOCKS - before) % RL_TAPE_BLOCKS];
}

/* Energies as floats from the same zero, of the sound that ends `before` samples before the end, by
 * lag. */
static void
energies(const RlTape *const t, const int before, float *const to)
{
  const double *const from = t->energy + t->end - before;
  const double        zero = t->energy[t->end - RL_TAPE_WINDOW];
  for (int lag = 0; lag < t->lags; lag += 4) {
    const FourDoubles back = *(const FourDoubles *)(from - lag - 3) - zero;
    const RlFour      four = __builtin_convertvector(back, RlFour);
    rl_four_put(to + lag, __builtin_shufflevector(four, four, 3, 2, 1, 0));
  }
}

void
rl_tape_compare(RlTape *const t)
{
  float ends[RL_REED_LAGS] = {0}, begins[RL_REED_LAGS] = {0}, sum[RL_REED_LAGS] = {0};
  energies(t, 0, ends);
  for (int w = 0, b = 0; w < RL_WINDOWS; ++w) {
    for (; b < blocks[w]; ++b) {
      const float *const add = row(t, b);
      for (int lag = 0; lag < t->lags; lag += 4) {
        rl_four_put(sum + lag, rl_four_at(sum + lag) + rl_four_at(add + lag));
      }
    }
    const int samples = blocks[w] * RL_TAPE_BLOCK;
    energies(t, samples, begins);
    const RlFour whole = rl_four(ends[0] - begins[0] + 1e-9F);
    for (int lag = 0; lag < t->lags; lag += 4) {
      const RlFour both = whole + (rl_four_at(ends + lag) - rl_four_at(begins + lag));
      rl_four_put(t->alike[w] + lag, 2 * rl_four_at(sum + lag) / both);
    }
  }
}

float
rl_tape_alike(const RlTape *const t, const int window, const int lag)
{
  const int           samples = blocks[window] * RL_TAPE_BLOCK;
  const double *const e       = t->energy + t->end;
  float               sum     = 0;
  for (int b = 0; b < blocks[window]; ++b) {
    sum += row(t, b)[lag];
  }
  return 2 * sum / ((float)(e[0] - e[-samples] + e[-lag] - e[-lag - samples]) + 1e-9F);
}

static float
between(const float *const row, float lag, const int lags)
{
  lag         = fabsf(lag);
  const int i = lag < 1 ? 1 : (int)lag;
  if (i > lags - 3) {
    return 0;
  }
  const float d = lag - (float)i, a = row[i - 1], b = row[i], c = row[i + 1], e = row[i + 2];
  return b + 0.5F * d * (c - a + d * (2 * a - 5 * b + 4 * c - e + d * (3 * (b - c) + e - a)));
}

float
rl_tape_between(const RlTape *const t, const int window, const float lag)
{
  return between(t->alike[window], lag, t->lags);
}

/* A comb takes away the sound `lag` earlier, halves so that its own power stays: the power left by
   two or three in a row, written out in autocorrelations. */
float
rl_tape_left(const RlTape *const t, const int window, const float *const lag, const int count)
{
  const float *const r = t->alike[window];
  const int          n = t->lags;
  const float        a = lag[0], b = count > 1 ? lag[1] : 0, c = count > 2 ? lag[2] : 0;
  if (count == 1) {
    return 1 - between(r, a, n);
  }
  if (count == 2) {
    return 1 - between(r, a, n) - between(r, b, n) +
           0.5F * (between(r, a + b, n) + between(r, a - b, n));
  }
  const float one = between(r, a, n) + between(r, b, n) + between(r, c, n);
  const float two = between(r, a + b, n) + between(r, a - b, n) + between(r, a + c, n) +
                    between(r, a - c, n) + between(r, b + c, n) + between(r, b - c, n);
  const float three = between(r, a + b + c, n) + between(r, a + b - c, n) +
                      between(r, a - b + c, n) + between(r, b + c - a, n);
  return 1 - one + 0.5F * two - 0.25F * three;
}
