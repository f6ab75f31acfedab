/* SPDX-License-Identifier: ISC */
#include "core/ear/player/products.h"

#include "core/ear/four.h"

#include <math.h>
#include <string.h>

enum {
  SIZE  = RL_PRODUCTS_SIZE,
  BLOCK = RL_PRODUCTS_BLOCK,
  LAST  = 4 /* points of the last stage */
};

static const double turn_full = 6.28318530717958648;

/* Four complex numbers. */
typedef struct {
  RlFour re, im;
} FourComplex;

/* Where a bin lies in the order of its own: its digits to the base of four from the last on, the
 * two that come last the other way round. */
static int
place_of(const int bin)
{
  return bin % 4 * 64 + bin / 4 % 4 * 16 + bin / 64 * 4 + bin / 16 % 4;
}

void
rl_products_init(RlProducts *const p)
{
  memset(p, 0, sizeof(*p));
  int at = 0;
  for (int points = SIZE; points > LAST; points /= 4) {
    for (int times = 1; times < 4; ++times) {
      for (int j = 0; j < points / 4; ++j, ++at) {
        p->turn_re[at] = (float)cos(turn_full * times * j / points);
        p->turn_im[at] = (float)-sin(turn_full * times * j / points);
      }
    }
  }
  for (int bin = 0; bin < RL_PRODUCTS_BINS; ++bin) {
    p->place[bin]     = (uint8_t)place_of(bin);
    const double turn = turn_full * bin * (BLOCK - 1) / 2 / SIZE;
    p->middle_re[bin] = (float)cos(turn);
    p->middle_im[bin] = (float)sin(turn);
  }
}

static FourComplex
from(const RlSpectrum *const s, const int at)
{
  return (FourComplex){rl_four_at(s->re + at), rl_four_at(s->im + at)};
}

static void
put(RlSpectrum *const s, const int at, const FourComplex x)
{
  rl_four_put(s->re + at, x.re);
  rl_four_put(s->im + at, x.im);
}

/* Times a turn, or back: `way` is 1 or -1. */
static FourComplex
turned(const FourComplex x, const RlFour re, const RlFour im)
{
  return (FourComplex){x.re * re - x.im * im, x.re * im + x.im * re};
}

/* The transform of four points, whose `way` is 1 for forth, -1 for back. */
static void
four_points(FourComplex v[4], const float way)
{
  const FourComplex a = {v[0].re + v[2].re, v[0].im + v[2].im};
  const FourComplex b = {v[0].re - v[2].re, v[0].im - v[2].im};
  const FourComplex c = {v[1].re + v[3].re, v[1].im + v[3].im};
  const FourComplex d = {way * (v[1].im - v[3].im), way * (v[3].re - v[1].re)};
  v[0]                = (FourComplex){a.re + c.re, a.im + c.im};
  v[1]                = (FourComplex){b.re + d.re, b.im + d.im};
  v[2]                = (FourComplex){a.re - c.re, a.im - c.im};
  v[3]                = (FourComplex){b.re - d.re, b.im - d.im};
}

/* The last stage of the way forth, the first of the way back, on sixteen neighbours. */
static void
neighbours(RlSpectrum *const s, const int at, const float way)
{
  FourComplex v[4];
  for (int k = 0; k < 4; ++k) {
    v[k] = from(s, at + 4 * k);
  }
  if (way > 0) {
    rl_four_swap(&v[0].re, &v[1].re, &v[2].re, &v[3].re);
    rl_four_swap(&v[0].im, &v[1].im, &v[2].im, &v[3].im);
  }
  four_points(v, way);
  if (way < 0) {
    rl_four_swap(&v[0].re, &v[1].re, &v[2].re, &v[3].re);
    rl_four_swap(&v[0].im, &v[1].im, &v[2].im, &v[3].im);
  }
  for (int k = 0; k < 4; ++k) {
    put(s, at + 4 * k, v[k]);
  }
}

/* The first stage of a block, which has no imaginary part and zeros behind it. */
static void
block_begin(const RlProducts *const p, RlSpectrum *const s, const float *const block)
{
  enum { Q = SIZE / 4 };
  for (int j = 0; j < Q; j += 4) {
    const RlFour      a = rl_four_at(block + j), b = rl_four_at(block + j + Q);
    const FourComplex v[4] = {{a + b, {0}}, {a, -b}, {a - b, {0}}, {a, b}};
    put(s, j, v[0]);
    for (int k = 1; k < 4; ++k) {
      const int    t  = (k - 1) * Q + j;
      const RlFour re = rl_four_at(p->turn_re + t), im = rl_four_at(p->turn_im + t);
      put(s, j + k * Q, k == 2 ? (FourComplex){v[k].re * re, v[k].re * im} : turned(v[k], re, im));
    }
  }
}

/* Natural order to the order of its own. */
static void
forth(const RlProducts *const p, RlSpectrum *const s, const float *const block)
{
  const float *re = p->turn_re + 3 * SIZE / 4, *im = p->turn_im + 3 * SIZE / 4;
  block_begin(p, s, block);
  for (int q = SIZE / 16; q >= LAST; re += 3 * q, im += 3 * q, q /= 4) {
    for (int i = 0; i < SIZE; i += 4 * q) {
      for (int j = 0; j < q; j += 4) {
        FourComplex v[4] = {from(s, i + j), from(s, i + j + q), from(s, i + j + 2 * q),
                            from(s, i + j + 3 * q)};
        four_points(v, 1);
        put(s, i + j, v[0]);
        for (int k = 1; k < 4; ++k) {
          const int t = (k - 1) * q + j;
          put(s, i + j + k * q, turned(v[k], rl_four_at(re + t), rl_four_at(im + t)));
        }
      }
    }
  }
  for (int at = 0; at < SIZE; at += 16) {
    neighbours(s, at, 1);
  }
}

/* And back, SIZE times as large. */
static void
back(const RlProducts *const p, RlSpectrum *const s)
{
  const float *re = p->turn_re + RL_PRODUCTS_TURNS, *im = p->turn_im + RL_PRODUCTS_TURNS;
  for (int at = 0; at < SIZE; at += 16) {
    neighbours(s, at, -1);
  }
  for (int q = LAST; q < SIZE; q *= 4) {
    re -= 3 * q;
    im -= 3 * q;
    for (int i = 0; i < SIZE; i += 4 * q) {
      for (int j = 0; j < q; j += 4) {
        FourComplex v[4] = {from(s, i + j)};
        for (int k = 1; k < 4; ++k) {
          const int t = (k - 1) * q + j;
          v[k]        = turned(from(s, i + j + k * q), rl_four_at(re + t), -rl_four_at(im + t));
        }
        four_points(v, -1);
        for (int k = 0; k < 4; ++k) {
          put(s, i + j + k * q, v[k]);
        }
      }
    }
  }
}

static RlSpectrum *
before(RlProducts *const p, const int blocks)
{
  return &p->pair[(p->newest + RL_PRODUCTS_KEPT - blocks) % RL_PRODUCTS_KEPT];
}

/* The spectrum of the newest block and the one before it in a row, from those of each with zeros
   behind: the later one comes half a transform later, which turns every other bin. The bins of a
   quarter are alike in that. */
static void
pair_make(RlProducts *const p, const RlSpectrum *const earlier)
{
  RlSpectrum *const to = before(p, 0);
  for (int at = 0; at < SIZE; at += 4) {
    const float       scale = 1.0F / SIZE, sign = at / (SIZE / 4) % 2 ? -scale : scale;
    const FourComplex a = from(earlier, at), b = from(&p->block, at);
    put(to, at, (FourComplex){scale * a.re + sign * b.re, scale * a.im + sign * b.im});
  }
}

/* Lags of the block so many before and of the next, as real and imaginary parts. */
static void
two_blocks(RlProducts *const p, const int blocks, RlSpectrum *const to)
{
  const RlSpectrum *const near = before(p, blocks), *const far = before(p, blocks + 1);
  for (int at = 0; at < SIZE; at += 4) {
    const FourComplex a = from(near, at), b = from(far, at), c = from(&p->block, at);
    put(to, at, turned((FourComplex){a.re + b.im, b.re - a.im}, c.re, c.im));
  }
  back(p, to);
}

void
rl_products_block(RlProducts *const p, const float *const block, float *const to, const int lags)
{
  const RlSpectrum earlier = p->block;
  p->newest                = (p->newest + 1) % RL_PRODUCTS_KEPT;
  forth(p, &p->block, block);
  pair_make(p, &earlier);
  for (int lag = 0; lag < lags; lag += 2 * BLOCK) {
    RlSpectrum found;
    const int  most = lags - lag;
    two_blocks(p, lag / BLOCK, &found);
    memcpy(to + lag, found.re + BLOCK, (size_t)(most < BLOCK ? most : BLOCK) * sizeof(float));
    if (most > BLOCK) {
      memcpy(to + lag + BLOCK, found.im + BLOCK,
             (size_t)(most < 2 * BLOCK ? most - BLOCK : BLOCK) * sizeof(float));
    }
  }
}

void
rl_products_spectrum(const RlProducts *const p, float *const re, float *const im)
{
  const RlSpectrum *const s = &p->block;
  for (int bin = 0; bin < RL_PRODUCTS_BINS; ++bin) {
    const int   at = p->place[bin];
    const float a = s->re[at], b = s->im[at], c = p->middle_re[bin], d = p->middle_im[bin];
    re[bin] = a * c - b * d;
    im[bin] = a * d + b * c;
  }
}
