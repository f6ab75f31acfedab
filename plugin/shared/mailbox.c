/* SPDX-License-Identifier: ISC */
#include "plugin/shared/mailbox.h"

bool
rl_mailbox_put(RlMailbox *const m, const RlOscSnapshot *const snapshot)
{
  const uint32_t at   = atomic_load_explicit(&m->written, memory_order_relaxed);
  const uint32_t read = atomic_load_explicit(&m->read, memory_order_acquire);
  if (at - read >= RL_MAILBOX_SLOTS) {
    return false;
  }
  m->slot[at % RL_MAILBOX_SLOTS] = *snapshot;
  atomic_store_explicit(&m->written, at + 1, memory_order_release);
  return true;
}

bool
rl_mailbox_pop(RlMailbox *const m, RlOscSnapshot *const snapshot)
{
  const uint32_t at      = atomic_load_explicit(&m->read, memory_order_relaxed);
  const uint32_t written = atomic_load_explicit(&m->written, memory_order_acquire);
  if (at == written) {
    return false;
  }
  *snapshot = m->slot[at % RL_MAILBOX_SLOTS];
  atomic_store_explicit(&m->read, at + 1, memory_order_release);
  return true;
}
