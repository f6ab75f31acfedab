/* SPDX-License-Identifier: ISC */
/* Memory for the fuzzers of the plugin. A chart that is set takes a dozen allocations of 90 to 400
   KiB, and fetching and returning such from the system is nearly all the time an input takes. So
   the large ones come from a pool, every block exactly as long as asked for with poison around it
   and poison in it once freed: what AddressSanitizer finds in its own blocks it finds in these.
   Link with -Wl,--wrap=malloc,--wrap=calloc,--wrap=strdup,--wrap=free . One thread. */
#ifndef RL_FUZZ_POOL_H
#define RL_FUZZ_POOL_H

#include <stdbool.h>
#include <stddef.h>

/** Blocks of the pool in use: a leak shows here, LeakSanitizer does not look into the pool. */
int pool_live(void);

/** From here on the n-th allocation from now (0: the next), small or large, fails; negative: none
 * does. */
void pool_fail_at(int n);

/** While closed, any allocation or freeing ends the program: the audio thread is at work. */
void pool_close(bool closed);

#endif
