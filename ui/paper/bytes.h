/* SPDX-License-Identifier: ISC */
/* Bytes in memory that grow as they are written. */
#ifndef RL_UI_PAPER_BYTES_H
#define RL_UI_PAPER_BYTES_H

#include <cairo.h>
#include <stdbool.h>
#include <stddef.h>

/** Begins with all zero; free() `at`. */
typedef struct {
  unsigned char *at;
  size_t         length, capacity;
} RlBytes;

/** Appends; `bytes` is an RlBytes. A cairo_write_func_t. */
cairo_status_t rl_bytes_add(void *bytes, const unsigned char *more, unsigned length);

/** Writes all of it to a file descriptor, waiting where it must. False, and errno. */
bool rl_bytes_write(int to, const RlBytes *bytes);

#endif
