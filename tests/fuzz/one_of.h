/* SPDX-License-Identifier: ISC */
/* Which inputs the slow part of a fuzzer is for: one of so many, whatever the fuzzer likes best. */
#ifndef ONE_OF_H
#define ONE_OF_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

static inline bool
one_of(const unsigned many, const uint8_t *const data, const size_t size)
{
  uint32_t sum = 2166136261U; /* FNV-1a */
  for (size_t i = 0; i < size; ++i) {
    sum = (sum ^ data[i]) * 16777619U;
  }
  return (sum >> 8) % many == 0;
}

#endif
