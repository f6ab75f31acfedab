/* SPDX-License-Identifier: ISC */
#include "pool.h"

#include <sanitizer/asan_interface.h>

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  LARGE  = 1 << 15,
  STRIDE = 1 << 20,
  SLOTS  = 32,
  EDGE   = 4096, /* of poison at least, on both sides */
  SPARE  = 3     /* freed blocks of one size that rest before the oldest is used again */
};

typedef struct {
  size_t   size; /* of the blocks this slot is for; 0: none yet */
  bool     live;
  unsigned freed; /* when */
} Slot;

static _Alignas(64) char pool[SLOTS][STRIDE];
static Slot     slot[SLOTS];
static unsigned turn;
static int      live, fail_at = -1;
static bool     closed;

void *__real_malloc(size_t size);
void  __real_free(void *memory);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void  __wrap_free(void *memory);
char *__wrap_strdup(const char *string);

const char *__asan_default_options(void);

/* A long quarantine of freed memory is fresh memory for every input. */
const char *
__asan_default_options(void)
{
  return "quarantine_size_mb=4:malloc_context_size=2";
}

int
pool_live(void)
{
  return live;
}

void
pool_fail_at(const int n)
{
  fail_at = n;
}

void
pool_close(const bool close)
{
  closed = close;
}

static void
demand_open(const char *const what)
{
  if (closed) {
    fprintf(stderr, "%s() inside run()\n", what);
    abort();
  }
}

static bool
fails_now(void)
{
  const bool fails = fail_at == 0;
  fail_at -= fail_at >= 0;
  return fails;
}

/* The older of two slots by when they were freed; -1 is none. */
static int
older(const int a, const int b)
{
  return a < 0 || (b >= 0 && slot[b].freed < slot[a].freed) ? b : a;
}

/* The slot whose block of this size has rested longest, or else a new one, or else any; -1 if all
   are in use. */
static int
slot_choose(const size_t size)
{
  int alike = -1, any = -1, empty = -1, resting = 0;
  for (int i = 0; i < SLOTS; ++i) {
    if (!slot[i].size) {
      empty = empty < 0 ? i : empty;
    } else if (!slot[i].live) {
      any   = older(any, i);
      alike = slot[i].size == size ? older(alike, i) : alike;
      resting += slot[i].size == size;
    }
  }
  return resting >= SPARE || (alike >= 0 && empty < 0) ? alike : empty >= 0 ? empty : any;
}

void *
__wrap_malloc(const size_t size)
{
  demand_open("malloc");
  if (fails_now()) {
    return NULL;
  }
  const int i = size >= LARGE && size + 2 * EDGE <= STRIDE ? slot_choose(size) : -1;
  if (i < 0) {
    return __real_malloc(size);
  }
  if (!slot[i].size) {
    __asan_poison_memory_region(pool[i], STRIDE);
  }
  slot[i] = (Slot){size, true, 0};
  ++live;
  __asan_unpoison_memory_region(pool[i] + EDGE, size);
  return pool[i] + EDGE;
}

void *
__wrap_calloc(const size_t count, const size_t size)
{
  const bool  fits   = !size || count <= SIZE_MAX / size;
  void *const memory = fits ? __wrap_malloc(count * size) : NULL;
  if (memory) {
    memset(memory, 0, count * size);
  }
  return memory;
}

char *
__wrap_strdup(const char *const string)
{
  const size_t size = strlen(string) + 1;
  char *const  copy = (char *)__wrap_malloc(size);
  if (copy) {
    memcpy(copy, string, size);
  }
  return copy;
}

void
__wrap_free(void *const memory)
{
  demand_open("free");
  const uintptr_t offset = (uintptr_t)memory - (uintptr_t)pool;
  if (offset >= sizeof(pool)) {
    __real_free(memory);
    return;
  }
  Slot *const s = &slot[offset / STRIDE];
  if (!s->live || offset % STRIDE != EDGE) {
    fputs("freed twice, or not where it was allocated\n", stderr);
    abort();
  }
  s->live  = false;
  s->freed = ++turn;
  --live;
  __asan_poison_memory_region(memory, s->size);
}
