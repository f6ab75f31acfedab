/* SPDX-License-Identifier: ISC */
/* Reads OSC 1.0 packets (opensoundcontrol.org, specification 1.0): messages with int32, float32 and
   string arguments, alone or in bundles. Any bytes may be given to it: it reads nothing beyond the
   packet, allocates nothing and keeps no state. Any thread. */
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

enum { RL_OSC_IMMEDIATELY = 1 /**< the time tag `immediately` */ };

typedef union {
  int32_t     i;
  float       f;
  const char *s; /**< NUL-terminated, inside the packet */
} RlOscArg;

/** A message; its strings lie inside the packet. */
typedef struct {
  const char *address;
  const char *types; /**< `iff`, without the comma */
  RlOscArg    arg[RL_OSC_ARGS_MAX];
  uint64_t
    time; /**< NTP: seconds since 1900 in the upper half; RL_OSC_IMMEDIATELY outside bundles */
} RlOscMessage;

typedef void (*RlOscHandler)(void *data, const RlOscMessage *message);

/** Reads a packet (4-byte alignment of `packet` is not needed) and calls `handle` for each message
    in order. False, and it is not called, if any part of the packet is malformed. A well-formed
    message with other argument types, or with too many, is left out. */
bool rl_osc_read(const uint8_t *packet, size_t size, RlOscHandler handle, void *data);

/** A time tag in seconds since 1970. */
double rl_osc_seconds(uint64_t time);

#endif
