/* SPDX-License-Identifier: ISC */
/* Snapshots on their way to the audio thread and back. One is kept in reserve, so that the want of
   memory for another only delays a change and never loses it. Guarded by the document's lock, but
   for the outbox itself. */
#ifndef RL_PLUGIN_WORKER_PAGES_H
#define RL_PLUGIN_WORKER_PAGES_H

#include "plugin/shared/snapshot.h"

/** Zeroed at the beginning. */
typedef struct {
  RlOutbox    outbox;  /**< the newest snapshot, as long as the audio thread has not taken it */
  RlSnapshot *reserve; /**< NULL while it is on its way */
  bool        due;     /**< there was none to hand over */
} RlPages;

/** Gets one in reserve; false without memory. */
bool rl_pages_open(RlPages *pages);
void rl_pages_close(RlPages *pages);

/** Hands over a copy of `master`. Where there is neither a snapshot nor memory for one it is due:
    do it again when one comes back. */
void rl_pages_put(RlPages *pages, const RlSnapshot *master);

/** A snapshot that the audio thread no longer uses. */
void rl_pages_return(RlPages *pages, RlSnapshot *snapshot);

#endif
