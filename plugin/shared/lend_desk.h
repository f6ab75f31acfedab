/* SPDX-License-Identifier: ISC */
/* Something that the worker makes as long as the audio thread wants it, and lends to it. Each
   pointer has one owner: who takes it out. */
#ifndef RL_PLUGIN_SHARED_LEND_DESK_H
#define RL_PLUGIN_SHARED_LEND_DESK_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

/** Zeroed at the beginning. */
typedef struct {
  atomic_bool     wanted;   /**< by the audio thread */
  _Atomic(void *) offered;  /**< to the audio thread */
  _Atomic(void *) returned; /**< by the audio thread */
} RlLendDesk;

/** Says whether it is wanted. What is `lent` (NULL: nothing is) goes back if it is not. The audio
    thread; real-time safe. */
static inline void
rl_lend_desk_want(RlLendDesk *const desk, const bool wanted, void *const lent)
{
  atomic_store_explicit(&desk->wanted, wanted, memory_order_release);
  if (!wanted && lent) {
    atomic_store_explicit(&desk->returned, lent, memory_order_release);
  }
}

/** What is offered, NULL if nothing is. The audio thread; real-time safe. */
static inline void *
rl_lend_desk_take(RlLendDesk *const desk)
{
  return atomic_exchange_explicit(&desk->offered, NULL, memory_order_acquire);
}

/** Is what was made nobody's any more, given back or never taken? `wanted`: as the desk has it now.
    The worker, one at a time. */
static inline bool
rl_lend_desk_over(RlLendDesk *const desk, bool *const wanted)
{
  *wanted         = atomic_load(&desk->wanted);
  const bool back = atomic_exchange(&desk->returned, NULL);
  return back || (!*wanted && atomic_exchange(&desk->offered, NULL));
}

#endif
