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

/** The greater of each. */
static inline RlFour
rl_four_max(const RlFour a, const RlFour b)
{
  const RlFourMask first = a > b;
  return (RlFour)(((RlFourMask)a & first) | ((RlFourMask)b & ~first));
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
