/* SPDX-License-Identifier: ISC */
/* What the plugin tells the window and other listeners, as atoms on `notify`. Real-time safe. */
#ifndef RL_PLUGIN_RT_NOTIFY_H
#define RL_PLUGIN_RT_NOTIFY_H

#include "plugin/protocol/uris.h"
#include "plugin/rt/follower.h"
#include "plugin/shared/harp_ear_desk.h"
#include "plugin/shared/hearing.h"
#include "plugin/shared/hits_told.h"

#include <lv2/atom/forge.h>

#include <string.h>

/** The port's sequence being written in one run(). */
typedef struct {
  const RlUris        *uris;
  LV2_Atom_Forge       forge;
  LV2_Atom_Forge_Frame sequence;
  void                *port;
  uint32_t             capacity; /* bytes, the atom's head included */
  bool                 open;
} RlNotify;

void rl_notify_init(RlNotify *notify, LV2_URID_Map *map, const RlUris *uris);

/** Empties an atom output port (NULL is legal), in whose size the host has left its capacity;
    returns that. Inline, as the next two, since every block asks for them. */
static inline uint32_t
rl_sequence_clear(void *const port, const RlUris *const uris)
{
  LV2_Atom_Sequence empty = {{0, 0}, {0, 0}};
  if (!port) {
    return 0;
  }
  memcpy(&empty.atom, port, sizeof(empty.atom));
  const uint32_t capacity = empty.atom.size;
  empty.atom.type         = uris->atom_Sequence;
  if (capacity >= sizeof(empty)) {
    empty.atom.size = sizeof(empty.body);
    memcpy(port, &empty, sizeof(empty));
  } else {
    empty.atom.size = 0;
    memcpy(port, &empty.atom, sizeof(empty.atom));
  }
  return capacity;
}

/** A block begins: empties the port (NULL is legal). */
static inline void
rl_notify_begin(RlNotify *const notify, void *const port)
{
  notify->port     = port;
  notify->open     = false;
  notify->capacity = rl_sequence_clear(port, notify->uris);
}

/** A block ends. */
static inline void
rl_notify_end(RlNotify *const notify)
{
  if (notify->open) {
    lv2_atom_forge_pop(&notify->forge, &notify->sequence);
  }
}

/** Tells where the music is (an object of type urn:reedlamp:Place). False if there was no room. */
bool rl_notify_place(RlNotify *notify, int64_t frame, const RlFollower *follower, bool lit,
                     int taking, bool sounds);

/** Tells how following by ear goes (an object of type urn:reedlamp:Hearing). False if there was no
   room. */
bool rl_notify_hearing(RlNotify *notify, int64_t frame, RlHearingState state, const RlNews *news);

/** Tells what the player plays (an object of type urn:reedlamp:Played). False if there was no room.
 */
bool rl_notify_played(RlNotify *notify, int64_t frame, const RlHeardNow *heard);

/** Tells a hit (an object of type urn:reedlamp:Hit). False if there was no room. */
bool rl_notify_hit(RlNotify *notify, int64_t frame, const RlHitTold *hit);

/** Tells some columns of a picture from `first` on (an object of type urn:reedlamp:Picture).
   Returns how many; 0 if there was no room. */
uint32_t rl_notify_picture(RlNotify *notify, int64_t frame, const RlPicture *picture,
                           uint32_t first);

/** Tells the value of a text property (patch:Set). False if there was no room. */
bool rl_notify_property(RlNotify *notify, int64_t frame, RlProperty property,
                        const RlSnapshot *snapshot);

#endif
