/* SPDX-License-Identifier: ISC */
#include "ui/paper/bytes.h"

#include <assert.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

cairo_status_t
rl_bytes_add(void *const bytes, const unsigned char *const more, const unsigned length)
{
  RlBytes *const b = (RlBytes *)bytes;
  assert(b->length <= b->capacity);
  if (b->length + length > b->capacity) {
    const size_t         capacity = 2 * (b->length + length);
    unsigned char *const grown    = (unsigned char *)realloc(b->at, capacity);
    if (!grown) {
      return CAIRO_STATUS_NO_MEMORY;
    }
    b->at       = grown;
    b->capacity = capacity;
  }
  memcpy(b->at + b->length, more, length);
  b->length += length;
  return CAIRO_STATUS_SUCCESS;
}

bool
rl_bytes_write(const int to, const RlBytes *const bytes)
{
  size_t done = 0;
  while (done < bytes->length) {
    const ssize_t n = write(to, bytes->at + done, bytes->length - done);
    if (n < 0 && errno != EINTR) {
      return false;
    }
    done += n > 0 ? (size_t)n : 0;
  }
  return true;
}
