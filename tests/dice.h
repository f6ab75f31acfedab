/* SPDX-License-Identifier: ISC */
/* Chance that is the same every time: xorshift64 (Marsaglia, "Xorshift RNGs", 2003). */
#ifndef RL_TESTS_DICE_H
#define RL_TESTS_DICE_H

#include <stdint.h>

/** The next number; `dice`: not 0 at the beginning. */
static inline uint64_t
dice_next(uint64_t *const dice)
{
  *dice ^= *dice << 13U;
  *dice ^= *dice >> 7U;
  *dice ^= *dice << 17U;
  return *dice;
}

/** 0 to `sides` - 1. */
static inline unsigned
dice_of(uint64_t *const dice, const unsigned sides)
{
  return (unsigned)(dice_next(dice) >> 33U) % sides;
}

#endif
