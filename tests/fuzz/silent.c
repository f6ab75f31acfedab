/* SPDX-License-Identifier: ISC */
/* Receivers for the fuzzers, in the place of plugin/osc/receivers.c: nothing leaves this machine
   whatever osc_to says. They look at every packet instead. */
#include "plugin/osc/bundle.h"
#include "plugin/osc/receivers.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void
rl_receivers_set(RlReceivers *const receivers, const RlSlice list)
{
  receivers->count = list.length > 0;
}

void
rl_receivers_part(RlReceivers *const receivers)
{
  (void)receivers;
}

void
rl_receivers_try(RlReceivers *const receivers)
{
  (void)receivers;
}

void
rl_receivers_check(RlReceivers *const receivers)
{
  (void)receivers;
}

bool
rl_receivers_any(const RlReceivers *const receivers, const RlWho who)
{
  return receivers->count && (who == RL_RECEIVERS_ALL || who == RL_RECEIVERS_KNOWING);
}

void
rl_receivers_send(RlReceivers *const receivers, const RlWho who, const void *const packet,
                  const size_t size)
{
  (void)receivers;
  (void)who;
  if (size < 20 || size > RL_OSC_BUNDLE_MAX || size % 4 || memcmp(packet, "#bundle", 8) != 0) {
    fprintf(stderr, "not a bundle: %zu bytes\n", size);
    abort();
  }
}

void
rl_receivers_told(RlReceivers *const receivers, const bool whole)
{
  (void)receivers;
  (void)whole;
}

void
rl_receivers_problem(const RlReceivers *const receivers, RlText *const text)
{
  (void)receivers;
  (void)text;
}

void
rl_receivers_close(RlReceivers *const receivers)
{
  receivers->count = 0;
}
