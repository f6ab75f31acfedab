/* SPDX-License-Identifier: ISC */
/* A ring of messages from the audio thread to the worker: one writer, one reader, neither waits. */
#ifndef RL_PLUGIN_SHARED_RING_H
#define RL_PLUGIN_SHARED_RING_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { RL_RING_SIZE = 1 << 16 };

typedef struct {
  _Atomic uint32_t written, read; /* bytes since the beginning; they wrap round together */
  char             bytes[RL_RING_SIZE];
} RlRing;

/** Commits a message of `size` bytes, its parts one after the other; false if there is no room, and
    then nothing is written. The writer's thread; real-time safe. */
bool rl_ring_write(RlRing *ring, const void *head, uint32_t head_size, const void *body,
                   uint32_t body_size);

/** Takes `size` bytes of a message that was committed whole; false if there is none. The reader's
    thread. */
bool rl_ring_read(RlRing *ring, void *to, uint32_t size);

#endif
