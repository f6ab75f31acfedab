/* SPDX-License-Identifier: ISC */
#include "plugin/worker/harp_ear_maker.h"

#include <stdlib.h>

static const double lowest_rate = 22050, highest_rate = 192000;

static void
drop(RlHarpEarMaker *const m, RlHarpEarLoan *const loan)
{
  if (loan == m->newest) {
    m->newest = NULL;
  }
  free(loan);
}

static RlHarpEarLoan *
make(const uint32_t hand, const double rate)
{
  RlHarpEarLoan *const loan = (RlHarpEarLoan *)malloc(sizeof(*loan));
  RlHarpChoice         choice;
  RlPlayer             player;
  if (loan) {
    rl_harp_ear_unpack(hand, &choice, &player);
    const RlHarp harp = rl_harp_make(choice);
    rl_reed_ear_init(&loan->ear, &harp, player, rate);
    loan->hand = hand;
  }
  return loan;
}

static const char wrong_rate[] =
  "harp_from: the player cannot be heard at this sample rate; use one from 22050 to 192000";
static const char no_memory[] =
  "harp_from: not enough memory to hear the player; close another program";

static const char *
settle(RlHarpEarMaker *const m)
{
  const uint32_t wanted = atomic_load(&m->desk.wanted);
  drop(m, atomic_exchange(&m->desk.returned, NULL));
  if (!wanted) {
    drop(m, atomic_exchange(&m->desk.offered, NULL));
    return NULL;
  }
  if (!(m->rate >= lowest_rate && m->rate <= highest_rate)) {
    return wrong_rate;
  }
  if (!m->newest || m->newest->hand != wanted) {
    m->newest = make(wanted, m->rate);
    if (!m->newest) {
      return no_memory;
    }
    free(atomic_exchange(&m->desk.offered, m->newest));
  }
  return NULL;
}

void
rl_harp_ear_maker_open(RlHarpEarMaker *const m, const double rate)
{
  pthread_mutex_init(&m->lock, NULL);
  m->rate = rate;
}

const char *
rl_harp_ear_maker_work(RlHarpEarMaker *const m)
{
  pthread_mutex_lock(&m->lock);
  const char *const wrong = settle(m);
  const bool        anew  = wrong != m->said;
  m->said                 = wrong;
  pthread_mutex_unlock(&m->lock);
  return !anew ? NULL : wrong ? wrong : "";
}

void
rl_harp_ear_maker_close(RlHarpEarMaker *const m, RlHarpEarLoan *const lent)
{
  free(lent);
  free(atomic_exchange(&m->desk.returned, NULL));
  free(atomic_exchange(&m->desk.offered, NULL));
  pthread_mutex_destroy(&m->lock);
}
