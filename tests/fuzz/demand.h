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

#endif
