/* SPDX-License-Identifier: ISC */
#include "ui/page/osc.h"

#include <assert.h>
#include <string.h>

/* What is left of a packet, or of one element of it. */
typedef struct {
  const uint8_t *at;
  size_t         left;
} Bytes;

static uint32_t
word_at(const uint8_t *const at)
{
  return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

static bool
word_read(Bytes *const b, uint32_t *const word)
{
  if (b->left < 4) {
    return false;
  }
  *word = word_at(b->at);
  b->at += 4;
  b->left -= 4;
  return true;
}

/* A string with its padding: one to four NULs up to the next multiple of four. */
static const char *
string_read(Bytes *const b)
{
  const uint8_t *const end = b->left ? memchr(b->at, '\0', b->left) : NULL;
  if (!end) {
    return NULL;
  }
  const size_t      length = (size_t)(end - b->at);
  const size_t      padded = (length / 4 + 1) * 4;
  const char *const string = (const char *)b->at;
  if (padded > b->left) {
    return NULL;
  }
  for (size_t i = length; i < padded; ++i) {
    if (b->at[i]) {
      return NULL;
    }
  }
  b->at += padded;
  b->left -= padded;
  return string;
}

typedef enum { ARG_OK, ARG_UNKNOWN, ARG_BROKEN } ArgStatus;

static ArgStatus
argument_read(Bytes *const b, const char type, RlOscArg *const arg)
{
  uint32_t word = 0;
  switch (type) {
  case 'i':
  case 'f':
    if (!word_read(b, &word)) {
      return ARG_BROKEN;
    }
    memcpy(type == 'i' ? (void *)&arg->i : (void *)&arg->f, &word, sizeof(word));
    return ARG_OK;
  case 's':
    arg->s = string_read(b);
    return arg->s ? ARG_OK : ARG_BROKEN;
  default:
    return ARG_UNKNOWN;
  }
}

static bool
message_read(Bytes b, const uint64_t time, const RlOscHandler handle, void *const data)
{
  RlOscMessage      message = {.address = string_read(&b), .time = time};
  const char *const tags    = message.address ? string_read(&b) : NULL;
  if (!tags || message.address[0] != '/' || tags[0] != ',') {
    return false;
  }
  message.types = tags + 1;
  if (strlen(message.types) > RL_OSC_ARGS_MAX) {
    return true;
  }
  for (int i = 0; message.types[i]; ++i) {
    const ArgStatus status = argument_read(&b, message.types[i], &message.arg[i]);
    if (status != ARG_OK) {
      return status == ARG_UNKNOWN;
    }
  }
  if (b.left) {
    return false;
  }
  if (handle) {
    handle(data, &message);
  }
  return true;
}

static bool element_read(Bytes b, uint64_t time, int depth, RlOscHandler handle, void *data);

static bool
bundle_read(Bytes b, const int depth, const RlOscHandler handle, void *const data)
{
  uint32_t seconds, fraction, size;
  b.at += 8; /* "#bundle" with its NUL */
  b.left -= 8;
  if (depth == RL_OSC_DEPTH_MAX || !word_read(&b, &seconds) || !word_read(&b, &fraction)) {
    return false;
  }
  while (b.left) {
    if (!word_read(&b, &size) || !size || size > b.left ||
        !element_read((Bytes){b.at, size}, (uint64_t)seconds << 32 | fraction, depth + 1, handle,
                      data)) {
      return false;
    }
    b.at += size;
    b.left -= size;
  }
  return true;
}

static bool
element_read(const Bytes b, const uint64_t time, const int depth, const RlOscHandler handle,
             void *const data) // NOLINT(misc-no-recursion): four deep at most
{
  if (b.left % 4) {
    return false;
  }
  return b.left >= 8 && !memcmp(b.at, "#bundle", 8) ? bundle_read(b, depth, handle, data)
                                                    : message_read(b, time, handle, data);
}

bool
rl_osc_read(const uint8_t *const packet, const size_t size, const RlOscHandler handle,
            void *const data)
{
  const Bytes all = {packet, size};
  assert(packet || !size);
  return size && size <= RL_OSC_SIZE_MAX && element_read(all, RL_OSC_IMMEDIATELY, 0, NULL, NULL) &&
         element_read(all, RL_OSC_IMMEDIATELY, 0, handle, data);
}

double
rl_osc_seconds(const uint64_t time)
{
  static const double from_1900_to_1970 = 2208988800.0; /* RFC 868 */
  return (double)(time >> 32) + (double)(time & UINT32_MAX) / 4294967296.0 - from_1900_to_1970;
}
