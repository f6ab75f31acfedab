/* SPDX-License-Identifier: ISC */
/* What must hold in every fuzzer. Stays in release builds too, other than assert(). */
#ifndef DEMAND_H
#define DEMAND_H

#include <stdio.h>
#include <stdlib.h>

#define DEMAND(condition)                                                                          \
  do {                                                                                             \
    if (!(condition)) {                                                                            \
      fprintf(stderr, "%s:%d: not so: %s\n", __FILE__, __LINE__, #condition);                      \
      abort();                                                                                     \
    }                                                                                              \
  } while (0)

/* 1 in the one build that plants an off-by-one, to see the fuzzer find it. */
#ifdef RL_PLANTED_BUG
enum { PLANTED = 1 };
#else
enum { PLANTED = 0 };
#endif

/* Lines of a text, the last without an end too. */
static inline int
lines_in(const char *const text, const size_t length)
{
  int lines = 1;
  for (size_t i = 0; i < length; ++i) {
    lines += text[i] == '\n';
  }
  return lines;
}

#endif
