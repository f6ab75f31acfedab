/* SPDX-License-Identifier: ISC */
/* Four floats that the compiler keeps in one register (SSE2 or NEON without flags), wherever they
 * lie. Inline only. */
#ifndef RL_CORE_EAR_FOUR_H
#define RL_CORE_EAR_FOUR_H

#include <stdint.h>
#include <string.h>

typedef float   RlFour __attribute__((vector_size(16), aligned(4), may_alias));
typedef int32_t RlFourMask __attribute__((vector_size(16)));

static inline RlFour
rl_four(const float x)
{
  return (RlFour){x, x, x, x};
}

static inline RlFour
rl_four_at(const float *const p)
{
  return *(const RlFour *)p;
}

static inline void
rl_four_put(float *const p, const RlFour x)
{
  *(RlFour *)p = x;
}

static inline float
rl_four_sum(const RlFour a)
{
  return a[0] + a[1] + a[2] + a[3];
}

/** The same by halves: a step less, and perhaps another last bit. */
static inline float
rl_four_halves(const RlFour a)
{
  const RlFour half = a + (RlFour){a[2], a[3], a[0], a[1]};
  return half[0] + half[1];
}

/** Rows to columns. */
static inline void
rl_four_swap(RlFour *const a, RlFour *const b, RlFour *const c, RlFour *const d)
{
  const RlFour ab = __builtin_shufflevector(*a, *b, 0, 4, 1, 5);
  const RlFour AB = __builtin_shufflevector(*a, *b, 2, 6, 3, 7);
  const RlFour cd = __builtin_shufflevector(*c, *d, 0, 4, 1, 5);
  const RlFour CD = __builtin_shufflevector(*c, *d, 2, 6, 3, 7);
  *a              = __builtin_shufflevector(ab, cd, 0, 1, 4, 5);
  *b              = __builtin_shufflevector(ab, cd, 2, 3, 6, 7);
  *c              = __builtin_shufflevector(AB, CD, 0, 1, 4, 5);
  *d              = __builtin_shufflevector(AB, CD, 2, 3, 6, 7);
}

/** rl_four_sum() of each, to the last bit. */
static inline RlFour
rl_four_sums(RlFour a, RlFour b, RlFour c, RlFour d)
{
  rl_four_swap(&a, &b, &c, &d);
  return a + b + c + d;
}

/** The lesser and the greater of two numbers: fminf() and fmaxf() are calls, as they mind what is
 * no number. */
static inline float
rl_lesser(const float a, const float b)
{
  return a < b ? a : b;
}

static inline float
rl_greater(const float a, const float b)
{
  return a > b ? a : b;
}

/** The greater, and the lesser, of each: one instruction where the compiler is told so. */
static inline RlFour
rl_four_max(const RlFour a, const RlFour b)
{
#ifdef __SSE__
  return __builtin_ia32_maxps(a, b);
#else
  const RlFourMask first = a > b;
  return (RlFour)(((RlFourMask)a & first) | ((RlFourMask)b & ~first));
#endif
}

static inline RlFour
rl_four_min(const RlFour a, const RlFour b)
{
#ifdef __SSE__
  return __builtin_ia32_minps(a, b);
#else
  const RlFourMask first = a < b;
  return (RlFour)(((RlFourMask)a & first) | ((RlFourMask)b & ~first));
#endif
}

/** Base 2 logarithm of positive normal numbers, within 0.0002 (polynomial fitted to the mantissa).
 */
static inline RlFour
rl_four_log2(const RlFour x)
{
  const RlFourMask bits     = (RlFourMask)x;
  const RlFour     mantissa = (RlFour)((bits & 0x7FFFFF) | 0x3F800000) - 1.0F;
  const RlFour     power    = __builtin_convertvector((bits >> 23) - 127, RlFour);
  const RlFour     inner =
    0.4575485F + mantissa * (-0.2779042F + mantissa * (0.1235040F - mantissa * 0.0275474F));
  return power + mantissa * (1.4425449F + mantissa * (-0.7181452F + mantissa * inner));
}

static inline float
rl_log2_near(const float x)
{
  return rl_four_log2(rl_four(x))[0];
}

#endif
