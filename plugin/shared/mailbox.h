/* SPDX-License-Identifier: ISC */
/* The mailbox between the audio thread and the OSC sender. One writer, one reader; neither waits.
 */
#ifndef RL_PLUGIN_SHARED_MAILBOX_H
#define RL_PLUGIN_SHARED_MAILBOX_H

#include "plugin/shared/osc_snapshot.h"
#include "plugin/shared/slots.h"

enum { RL_MAILBOX_SLOTS = 16 };

/** Zeroed at the beginning. */
typedef struct {
  RlSlots       slots;
  RlOscSnapshot slot[RL_MAILBOX_SLOTS];
} RlMailbox;

/** False if there is no room. The audio thread; real-time safe. */
bool rl_mailbox_put(RlMailbox *mailbox, const RlOscSnapshot *snapshot);

/** The oldest; false if there is none. One reader at a time, any thread. */
bool rl_mailbox_pop(RlMailbox *mailbox, RlOscSnapshot *snapshot);

#endif
