/* SPDX-License-Identifier: ISC */
#include "plugin/shared/ring.h"

#include <string.h>

static void
put(RlRing *const ring, const uint32_t at, const void *const from, const uint32_t size)
{
  const uint32_t start = at % RL_RING_SIZE;
  const uint32_t first = size < RL_RING_SIZE - start ? size : RL_RING_SIZE - start;
  if (size) {
    memcpy(ring->bytes + start, from, first);
    memcpy(ring->bytes, (const char *)from + first, size - first);
  }
}

bool
rl_ring_write(RlRing *const ring, const void *const head, const uint32_t head_size,
              const void *const body, const uint32_t body_size)
{
  const uint32_t at   = atomic_load_explicit(&ring->written, memory_order_relaxed);
  const uint32_t read = atomic_load_explicit(&ring->read, memory_order_acquire);
  if (head_size + body_size > RL_RING_SIZE - (at - read)) {
    return false;
  }
  put(ring, at, head, head_size);
  put(ring, at + head_size, body, body_size);
  atomic_store_explicit(&ring->written, at + head_size + body_size, memory_order_release);
  return true;
}

bool
rl_ring_read(RlRing *const ring, void *const to, const uint32_t size)
{
  const uint32_t at      = atomic_load_explicit(&ring->read, memory_order_relaxed);
  const uint32_t written = atomic_load_explicit(&ring->written, memory_order_acquire);
  const uint32_t start   = at % RL_RING_SIZE;
  const uint32_t first   = size < RL_RING_SIZE - start ? size : RL_RING_SIZE - start;
  if (written - at < size) {
    return false;
  }
  memcpy(to, ring->bytes + start, first);
  memcpy((char *)to + first, ring->bytes, size - first);
  atomic_store_explicit(&ring->read, at + size, memory_order_release);
  return true;
}
