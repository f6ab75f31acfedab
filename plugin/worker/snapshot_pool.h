/* SPDX-License-Identifier: ISC */
/* Snapshots on their way to the audio thread and back. One is kept in reserve, so that the want of
   memory for another only delays a change and never loses it. Guarded by the document's lock, but
   for the outbox itself. */
#ifndef RL_PLUGIN_WORKER_SNAPSHOT_POOL_H
#define RL_PLUGIN_WORKER_SNAPSHOT_POOL_H

#include "plugin/shared/snapshot.h"

/** Zeroed at the beginning. */
typedef struct {
  RlOutbox    outbox;  /**< what the audio thread has not taken yet */
  RlSnapshot *reserve; /**< NULL while it is on its way */
  bool        due;     /**< there was none to hand over */
} RlSnapshotPool;

/** Gets one in reserve; false without memory. */
bool rl_snapshot_pool_open(RlSnapshotPool *pool);
void rl_snapshot_pool_close(RlSnapshotPool *pool);

/** Hands over a copy of `master`. Where there is neither a snapshot nor memory for one it is due:
    do it again when one comes back. */
void rl_snapshot_pool_put(RlSnapshotPool *pool, const RlSnapshot *master);

/** A snapshot that the audio thread no longer uses. */
void rl_snapshot_pool_return(RlSnapshotPool *pool, RlSnapshot *snapshot);

#endif
