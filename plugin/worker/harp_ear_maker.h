/* SPDX-License-Identifier: ISC */
/* Makes the ear for the player that the audio thread wants, and frees what it gives back. The
   worker; never run(). Nothing is allocated while `harp_from` is 0. */
#ifndef RL_PLUGIN_WORKER_HARP_EAR_MAKER_H
#define RL_PLUGIN_WORKER_HARP_EAR_MAKER_H

#include "plugin/shared/harp_ear_desk.h"

#include <pthread.h>

typedef struct {
  RlHarpEarDesk   desk;
  pthread_mutex_t lock; /* of what follows; never the audio thread */
  double          rate;
  RlHarpEarLoan  *newest; /* NULL: none is out */
  const char     *said;   /* what was wrong last */
} RlHarpEarMaker;

/** Sets up a zeroed one; `rate` in frames a second. */
void rl_harp_ear_maker_open(RlHarpEarMaker *maker, double rate);

/** Does what the desk says is wanted. Returns what is wrong, "" for nothing any more; NULL if
    that is as before. */
const char *rl_harp_ear_maker_work(RlHarpEarMaker *maker);

/** Ends it. The audio thread is gone; `lent` is what it still had, or NULL. */
void rl_harp_ear_maker_close(RlHarpEarMaker *maker, RlHarpEarLoan *lent);

#endif
