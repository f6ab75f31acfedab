/* SPDX-License-Identifier: ISC */
#include "plugin/worker/snapshot_pool.h"

#include <stdlib.h>
#include <string.h>

bool
rl_snapshot_pool_open(RlSnapshotPool *const pool)
{
  pool->reserve = (RlSnapshot *)malloc(sizeof(RlSnapshot));
  return pool->reserve;
}

void
rl_snapshot_pool_close(RlSnapshotPool *const pool)
{
  free(atomic_exchange(&pool->outbox.newest, NULL));
  free(atomic_exchange(&pool->outbox.picture, NULL));
  free(pool->reserve);
  pool->reserve = NULL;
}

void
rl_snapshot_pool_return(RlSnapshotPool *const pool, RlSnapshot *const snapshot)
{
  if (pool->reserve) {
    free(snapshot);
  } else {
    pool->reserve = snapshot;
  }
}

/* The one in reserve, a new one, or one that the audio thread has not looked at. */
static RlSnapshot *
snapshot_get(RlSnapshotPool *const pool)
{
  RlSnapshot *snapshot = pool->reserve;
  pool->reserve        = NULL;
  snapshot             = snapshot ? snapshot : (RlSnapshot *)malloc(sizeof(RlSnapshot));
  return snapshot ? snapshot : atomic_exchange(&pool->outbox.newest, NULL);
}

void
rl_snapshot_pool_put(RlSnapshotPool *const pool, const RlSnapshot *const master)
{
  RlSnapshot *const snapshot = snapshot_get(pool);
  pool->due                  = !snapshot;
  if (snapshot) {
    memcpy(snapshot, master, sizeof(*snapshot));
    rl_snapshot_pool_return(pool, atomic_exchange(&pool->outbox.newest, snapshot));
  }
}
