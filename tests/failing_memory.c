/* SPDX-License-Identifier: ISC */
#include "failing_memory.h"

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *memory, size_t size);
void  __real_free(void *memory);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *memory, size_t size);
char *__wrap_strdup(const char *string);
void  __wrap_free(void *memory);

static atomic_int asked, live, fail_at = -1;

void
failing_memory_at(const int n)
{
  asked   = 0;
  fail_at = n;
}

int
failing_memory_asked(void)
{
  return asked;
}

int
failing_memory_live(void)
{
  return live;
}

static bool
fails_now(void)
{
  return atomic_fetch_add(&asked, 1) == fail_at;
}

static void *
counted(void *const memory)
{
  live += memory != NULL;
  return memory;
}

void *
__wrap_malloc(const size_t size)
{
  return fails_now() ? NULL : counted(__real_malloc(size));
}

void *
__wrap_calloc(const size_t count, const size_t size)
{
  return fails_now() ? NULL : counted(__real_calloc(count, size));
}

void *
__wrap_realloc(void *const memory, const size_t size)
{
  void *const more = fails_now() ? NULL : __real_realloc(memory, size);
  live += more && !memory;
  return more;
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
  live -= memory != NULL;
  __real_free(memory);
}
