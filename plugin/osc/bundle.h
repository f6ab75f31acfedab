/* SPDX-License-Identifier: ISC */
/* OSC 1.0: a state as bundles. It and what it is made of (post, texts) alone know liblo. It builds
   packets and sends nothing; allocates; any thread but the audio thread's. The addresses, their
   arguments and what they mean stand in plugin/OSC.md. Source: Wright, The Open Sound Control 1.0
   Specification, 2002. */
#ifndef RL_PLUGIN_OSC_BUNDLE_H
#define RL_PLUGIN_OSC_BUNDLE_H

#include "core/practice/line.h"
#include "plugin/osc/osc_state.h"

enum { RL_OSC_BUNDLE_MAX = 1400 /**< bytes: no network cuts a packet of that in two */ };

/** Takes a finished packet; the bytes are good during the call. */
typedef void (*RlOscOut)(void *data, const void *packet, size_t size);

/** What is to be sent. */
typedef struct {
  int64_t           when; /**< nanoseconds since 1970 (UTC): all that is sent carries it */
  const RlOscState *was;  /**< as it was sent last, NULL for never */
  const RlOscState *now;
  bool              full;   /**< send everything; else what has changed */
  bool              moved;  /**< the place is worth telling */
  bool              leaped; /**< the next chord is nearer or further than it would be by now */
} RlOscUpdate;

/** Sends them in as few bundles as they fit in. Lamps that the harp no longer has are off. False if
    something was left out for want of memory; the other functions likewise. */
bool rl_osc_write(const RlOscUpdate *update, RlOscOut out, void *data);

/** The last bundles: transport, phrase and lamps of `end` (rl_osc_state_end()), whatever was sent
    before. */
bool rl_osc_write_last(int64_t when, const RlOscState *end, RlOscOut out, void *data);

/** A long text, as the chart or the plan, in parts, a bundle each: of an empty one, one empty part.
 */
bool rl_osc_write_text(int64_t when, const char *path, RlSlice text, RlOscOut out, void *data);

/** A chorus that was practised, in a bundle of its own. */
bool rl_osc_write_chorus(int64_t when, const RlPracticeLine *chorus, RlOscOut out, void *data);

#endif
