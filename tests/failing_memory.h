/* SPDX-License-Identifier: ISC */
/* Memory that fails on purpose: counts what is asked for, and lets one request fail. Link with
   failing_memory_args (tests/meson.build), which puts these in the place of malloc(), calloc(),
   realloc(), strdup() and free() wherever the program's own objects call them. Any thread. */
#ifndef RL_TESTS_FAILING_MEMORY_H
#define RL_TESTS_FAILING_MEMORY_H

/** From here on the n-th request (0: the next) fails; negative: none does. Counts from 0 again. */
void failing_memory_at(int n);

/** Requests since then. */
int failing_memory_asked(void);

/** Blocks in use. */
int failing_memory_live(void);

#endif
