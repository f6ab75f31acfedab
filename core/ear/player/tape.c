/* SPDX-License-Identifier: ISC */
#include "core/ear/player/tape.h"

#include "core/ear/four.h"
#include "core/ear/resampler.h"

#include <math.h>
#include <string.h>

static const float pi = 3.14159265F;

typedef double FourDoubles __attribute__((vector_size(32), aligned(8), may_alias));

/* Of a block, how much is new of the lows' mean: of 20 ms, of two seconds. */
static const float lows_new = 0.25F, lows_long_new = 0.0027F;

/* Blocks in a window. */
static inline int
blocks_of(const int window)
{
  return 1 << window;
}

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

/* Two high passes; what has died away does not become denormal. Of what the first leaves, two low
 * passes more, of every fourth sample, tell how strong the lows are. */
static void
lows_take_out(RlTape *const t, float *const block)
{
  static const float tiny = 1e-20F, faint = 1e-9F;
  float              before = t->before, between = t->between, passed = t->passed, sum = 0;
  const float        hold = t->hold, share = 1 - hold * hold * hold * hold;
  for (int i = 0; i < RL_TAPE_BLOCK; i += 4) {
    for (int n = i; n < i + 4; ++n) {
      const float first = hold * (between + (block[n] - before + tiny));
      passed            = hold * (passed + (first - between + tiny));
      before            = block[n];
      between           = first;
      block[n]          = passed;
    }
    t->low[0] += share * (before - between + faint - t->low[0]);
    t->low[1] += share * (t->low[0] - t->low[1]);
    sum += t->low[1] * t->low[1];
  }
  t->before  = before;
  t->between = between;
  t->passed  = passed;
  sum *= 4.0F / RL_TAPE_BLOCK;
  t->lows += lows_new * (sum - t->lows);
  t->lows_long += lows_long_new * (sum - t->lows_long);
}

void
rl_tape_block(RlTape *const t)
{
  float *const block = t->sound + t->end - RL_TAPE_BLOCK;
  double      *to = t->energy + t->end - RL_TAPE_BLOCK, sum = *to;
  lows_take_out(t, block);
  for (int i = 0; i < RL_TAPE_BLOCK; ++i) {
    sum += (double)(block[i] * block[i]);
    to[i + 1] = sum;
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

/* Energies as floats from the same zero, of the sound that ends at `at`, by four lags. */
static inline RlFour
four_energies(const double *const at, const int lag, const double zero)
{
  const FourDoubles back = *(const FourDoubles *)(at - lag - 3) - zero;
  const RlFour      four = __builtin_convertvector(back, RlFour);
  return __builtin_shufflevector(four, four, 3, 2, 1, 0);
}

void
rl_tape_compare(RlTape *const t)
{
  const double *const end  = t->energy + t->end, *begin[RL_WINDOWS];
  const double        zero = t->energy[t->end - RL_TAPE_WINDOW];
  const float        *product[RL_TAPE_BLOCKS];
  float               whole[RL_WINDOWS];
  for (int b = 0; b < RL_TAPE_BLOCKS; ++b) {
    product[b] = row(t, b);
  }
  for (int w = 0; w < RL_WINDOWS; ++w) {
    begin[w] = end - blocks_of(w) * RL_TAPE_BLOCK;
    whole[w] = (float)(*end - zero) - (float)(*begin[w] - zero) + 1e-9F;
  }
  for (int lag = 0; lag < t->lags; lag += 4) {
    const RlFour ends = four_energies(end, lag, zero);
    RlFour       sum  = {0};
    for (int w = 0, b = 0; w < RL_WINDOWS; ++w) {
      for (; b < blocks_of(w); ++b) {
        sum += rl_four_at(product[b] + lag);
      }
      const RlFour both = whole[w] + (ends - four_energies(begin[w], lag, zero));
      rl_four_put(t->alike[w] + lag, 2 * sum / both);
    }
  }
}

float
rl_tape_alike(const RlTape *const t, const int window, const int lag)
{
  const int           samples = blocks_of(window) * RL_TAPE_BLOCK;
  const double *const e       = t->energy + t->end;
  float               sum     = 0;
  for (int b = 0; b < blocks_of(window); ++b) {
    sum += row(t, b)[lag];
  }
  return 2 * sum / ((float)(e[0] - e[-samples] + e[-lag] - e[-lag - samples]) + 1e-9F);
}

/* A row between its samples, at four lags of either sign; 0 beyond its end. */
static RlFour
four_between(const float *const row, const RlFour lags, const int end)
{
  const RlFour     size   = (RlFour)((RlFourMask)lags & 0x7FFFFFFF);
  const RlFourMask within = size < (float)(end - 2);
  const RlFour     lag    = (RlFour)((RlFourMask)size & within);
  RlFourMask       i      = __builtin_convertvector(lag, RlFourMask);
  i -= i == 0;
  const RlFour d = lag - __builtin_convertvector(i, RlFour);
  RlFour       a = rl_four_at(row + i[0] - 1), b = rl_four_at(row + i[1] - 1);
  RlFour       c = rl_four_at(row + i[2] - 1), e = rl_four_at(row + i[3] - 1);
  rl_four_swap(&a, &b, &c, &e);
  const RlFour at =
    b + 0.5F * d * (c - a + d * (2 * a - 5 * b + 4 * c - e + d * (3 * (b - c) + e - a)));
  return (RlFour)((RlFourMask)at & within);
}

RlFour
rl_tape_four_between(const RlTape *const t, const int window, const RlFour lags)
{
  return four_between(t->alike[window], lags, t->lags);
}

float
rl_tape_between(const RlTape *const t, const int window, const float lag)
{
  return four_between(t->alike[window], rl_four(lag), t->lags)[0];
}

/* A comb takes away the sound `lag` earlier, halves so that its own power stays: the power left by
   two or three in a row, written out in autocorrelations. */
float
rl_tape_left(const RlTape *const t, const int window, const float *const lag, const int count)
{
  static const float one = -1, two = 0.5F, three = -0.25F, none = 1e9F;
  const float *const r = t->alike[window];
  const int          n = t->lags;
  const float        a = lag[0], b = count > 1 ? lag[1] : none, c = count > 2 ? lag[2] : none;
  RlFour left = (RlFour){one, one, two, two} * four_between(r, (RlFour){a, b, a + b, a - b}, n);
  if (count > 2) {
    left +=
      (RlFour){one, two, two, three} * four_between(r, (RlFour){c, a + c, a - c, a + b + c}, n);
    left += (RlFour){two, two, three, three} *
            four_between(r, (RlFour){b + c, b - c, a + b - c, a - b + c}, n);
    left += (RlFour){three} * four_between(r, (RlFour){b + c - a, none, none, none}, n);
  }
  return 1 + rl_four_sum(left);
}
