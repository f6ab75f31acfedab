/* SPDX-License-Identifier: ISC */
/* Which slot of a ring is whose turn: one writer, one reader, neither waits. `count` slots, a power
   of two, the same in every call. */
#ifndef RL_PLUGIN_SHARED_SLOTS_H
#define RL_PLUGIN_SHARED_SLOTS_H

#include <stdatomic.h>
#include <stdint.h>

/** Zeroed at the beginning. */
typedef struct {
  _Atomic uint32_t written, read; /* slots since the beginning; they wrap round together */
} RlSlots;

/** The slot to be written next, -1 without room; and it is written. The writer; real-time safe. */
static inline int
rl_slots_free(const RlSlots *const s, const uint32_t count)
{
  const uint32_t at = atomic_load_explicit(&s->written, memory_order_relaxed);
  return at - atomic_load_explicit(&s->read, memory_order_acquire) < count ? (int)(at % count) : -1;
}

static inline void
rl_slots_commit(RlSlots *const s)
{
  const uint32_t at = atomic_load_explicit(&s->written, memory_order_relaxed);
  atomic_store_explicit(&s->written, at + 1, memory_order_release);
}

/** The oldest slot that is written, -1 if there is none; and done with it. The reader; real-time
    safe. */
static inline int
rl_slots_oldest(const RlSlots *const s, const uint32_t count)
{
  const uint32_t at = atomic_load_explicit(&s->read, memory_order_relaxed);
  return at == atomic_load_explicit(&s->written, memory_order_acquire) ? -1 : (int)(at % count);
}

static inline void
rl_slots_drop(RlSlots *const s)
{
  const uint32_t at = atomic_load_explicit(&s->read, memory_order_relaxed);
  atomic_store_explicit(&s->read, at + 1, memory_order_release);
}

/** How many are written and not dropped. Any thread. */
static inline uint32_t
rl_slots_waiting(const RlSlots *const s)
{
  const uint32_t read = atomic_load_explicit(&s->read, memory_order_acquire);
  return atomic_load_explicit(&s->written, memory_order_acquire) - read;
}

/** Drops all. While neither thread is at it. */
static inline void
rl_slots_clear(RlSlots *const s)
{
  atomic_store(&s->read, atomic_load(&s->written));
}

#endif
