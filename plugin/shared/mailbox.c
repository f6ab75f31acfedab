/* SPDX-License-Identifier: ISC */
#include "plugin/shared/mailbox.h"

bool
rl_mailbox_put(RlMailbox *const m, const RlOscSnapshot *const snapshot)
{
  const int at = rl_slots_free(&m->slots, RL_MAILBOX_SLOTS);
  if (at < 0) {
    return false;
  }
  m->slot[at] = *snapshot;
  rl_slots_commit(&m->slots);
  return true;
}

bool
rl_mailbox_pop(RlMailbox *const m, RlOscSnapshot *const snapshot)
{
  const int at = rl_slots_oldest(&m->slots, RL_MAILBOX_SLOTS);
  if (at < 0) {
    return false;
  }
  *snapshot = m->slot[at];
  rl_slots_drop(&m->slots);
  return true;
}
