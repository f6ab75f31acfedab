/* SPDX-License-Identifier: ISC */
/* What is left of a fuzzer's input, taken byte by byte. */
#ifndef FEED_H
#define FEED_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

/** What is left of the input; zeros when nothing is. */
typedef struct {
  const uint8_t *at;
  size_t         left;
} Feed;

static inline size_t
feed_some(Feed *const feed, const size_t wanted, const uint8_t **const bytes)
{
  const size_t n = wanted < feed->left ? wanted : feed->left;
  *bytes         = feed->at;
  feed->at += n;
  feed->left -= n;
  return n;
}

static inline uint64_t
feed_bytes(Feed *const feed, const size_t count)
{
  uint64_t       value = 0;
  const uint8_t *bytes;
  const size_t   n = feed_some(feed, count, &bytes);
  if (n) {
    memcpy(&value, bytes, n);
  }
  return value;
}

static inline unsigned
feed_byte(Feed *const feed)
{
  return (unsigned)feed_bytes(feed, 1);
}

#endif
