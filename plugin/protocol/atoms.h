/* SPDX-License-Identifier: ISC */
/* Reading atoms that anybody may have written: every size is checked, nothing need be aligned
   (hosts place atom ports on 4-byte boundaries). Real-time safe. */
#ifndef RL_PLUGIN_PROTOCOL_ATOMS_H
#define RL_PLUGIN_PROTOCOL_ATOMS_H

#include "plugin/protocol/uris.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/** An atom somewhere in memory: its type and its body of `size` bytes, all of them readable. */
typedef struct {
  const char *body;
  uint32_t    size, type;
} RlAtom;

/** A walk through events or properties. */
typedef struct {
  const char *at;
  uint32_t    left; /* bytes */
} RlWalk;

/** Can there be an event in a sequence port's buffer? A quick look for the many blocks in which
    there is none. */
static inline bool
rl_holds_events(const void *const port)
{
  LV2_Atom head = {0, 0};
  if (port) {
    memcpy(&head, port, sizeof(head));
  }
  return head.size > sizeof(LV2_Atom_Sequence_Body);
}

/** Begins a walk through a sequence port's buffer; an empty one if it is no sequence. */
RlWalk rl_events(const void *port, const RlUris *uris);

/** The next event and its time in frames; false at the end or where the bytes make no sense. */
bool rl_event_next(RlWalk *walk, int64_t *frame, RlAtom *atom);

/** Begins a walk through an object's properties; false if the atom is no object. */
bool rl_object(const RlAtom *atom, const RlUris *uris, RlWalk *walk, LV2_URID *otype);

/** The next property; false at the end or where the bytes make no sense. */
bool rl_property_next(RlWalk *walk, LV2_URID *key, RlAtom *value);

/** A number of any numeric type into a double, which need not be aligned; false if it is none. */
bool rl_number(const RlAtom *atom, const RlUris *uris, void *to);

/** The same into an int64_t: a Long with all its bits, others rounded down; false if it is none. */
bool rl_whole(const RlAtom *atom, const RlUris *uris, void *to);

/** Bytes of a String or Path up to its NUL, which may be missing. */
uint32_t rl_string_length(const RlAtom *atom);

#endif
