/* SPDX-License-Identifier: ISC */
#include "plugin/osc/post.h"

enum { ELEMENT_HEAD = 4 /* its size */ };

/* NTP's time, as OSC has it: seconds since 1900, and 2^32 parts of one. */
static lo_timetag
time_tag(const int64_t when)
{
  enum { NANOSECONDS = 1000000000 };
  static const int64_t to_1970 = 2208988800;
  const uint64_t       part    = (uint64_t)(when % NANOSECONDS);
  return (lo_timetag){(uint32_t)(when / NANOSECONDS + to_1970),
                      (uint32_t)((part << 32) / NANOSECONDS)};
}

void
rl_osc_post_flush(RlOscPost *const p)
{
  char   packet[RL_OSC_BUNDLE_MAX];
  size_t size = 0;
  if (p->bundle) {
    if (lo_bundle_length(p->bundle) <= sizeof(packet) &&
        lo_bundle_serialise(p->bundle, packet, &size)) {
      p->out(p->data, packet, size);
    } else {
      p->whole = false;
    }
    lo_bundle_free_recursive(p->bundle);
  }
  p->bundle = NULL;
  p->size   = RL_OSC_BUNDLE_HEAD;
}

void
rl_osc_post_add(RlOscPost *const p, const char *const path, lo_message message)
{
  const size_t size = message ? ELEMENT_HEAD + lo_message_length(message, path) : 0;
  if (p->bundle && p->size + size > RL_OSC_BUNDLE_MAX) {
    rl_osc_post_flush(p);
  }
  if (message && !p->bundle) {
    p->bundle = lo_bundle_new(p->when);
  }
  if (message && p->bundle && !lo_bundle_add_message(p->bundle, path, message)) {
    p->size += size;
    return;
  }
  p->whole = false;
  if (message) {
    lo_message_free(message);
  }
}

RlOscPost
rl_osc_post(const int64_t when, const RlOscOut out, void *const data)
{
  return (RlOscPost){time_tag(when), NULL, RL_OSC_BUNDLE_HEAD, true, out, data};
}

lo_message
rl_osc_filled(lo_message message, const int failure)
{
  if (message && failure) {
    lo_message_free(message);
    return NULL;
  }
  return message;
}
