/* SPDX-License-Identifier: ISC */
/* OSC 1.0 packets, read: messages with int32, float32 and string arguments, alone or in bundles
   (opensoundcontrol.org, specification 1.0). Whatever comes over the network may be fed to it: it
   reads nothing beyond the packet, allocates nothing and keeps no state. Any thread. */
#ifndef RL_UI_PAGE_OSC_H
#define RL_UI_PAGE_OSC_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
  RL_OSC_ARGS_MAX  = 8,
  RL_OSC_DEPTH_MAX = 4,    /**< bundles in bundles */
  RL_OSC_SIZE_MAX  = 65535 /**< bytes of a packet */
};

enum { RL_OSC_AT_ONCE = 1 /**< the time tag that says: now */ };

typedef union {
  int32_t     i;
  float       f;
  const char *s; /**< NUL-terminated, inside the packet */
} RlOscArg;

/** A message; its texts lie inside the packet. */
typedef struct {
  const char *address;
  const char *types; /**< `iff`, without the comma */
  RlOscArg    arg[RL_OSC_ARGS_MAX];
  uint64_t time; /**< NTP: seconds since 1900 in the upper half; RL_OSC_AT_ONCE outside bundles */
} RlOscMessage;

typedef void (*RlOscHear)(void *data, const RlOscMessage *message);

/** Reads a packet (4-byte alignment of `packet` is not needed) and hands over its messages in
    order. False, and nothing is handed over, if any part of it is malformed. A well-formed message
    with other arguments than the above, or with too many, is left out. */
bool rl_osc_read(const uint8_t *packet, size_t size, RlOscHear hear, void *data);

/** Seconds since 1970 of a time tag. */
double rl_osc_seconds(uint64_t time);

#endif
