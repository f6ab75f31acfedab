/* SPDX-License-Identifier: ISC */
/* The lifter: keeps the track's last minute while that is wanted, and writes down parts of it. Two
   threads of its own: one keeps, while the plugin is active; one lifts, while there is something to
   lift. Made by the worker; never run(). Nothing of it is allocated while nobody wants it. */
#ifndef RL_PLUGIN_LIFT_LIFTER_H
#define RL_PLUGIN_LIFT_LIFTER_H

#include "plugin/lift/lifting.h"
#include "plugin/shared/lend_desk.h"
#include "plugin/shared/track_ring.h"
#include "plugin/worker/auditioner.h"
#include "plugin/worker/document.h"

#include <pthread.h>

enum { RL_LIFTER_QUEUE = 4 };

/** The lifter. */
typedef struct {
  RlLendDesk           desk; /* of an RlTrackRing */
  RlDocument          *document;
  double               rate;
  pthread_mutex_t      lock; /* of what follows; never the audio thread */
  bool                 active;
  uint32_t             keepings;   /* so many have been begun */
  struct RlLifterTask *task;       /* ring, what is kept, and its thread; NULL: nothing is kept */
  const char          *said;       /* what was wrong last */
  pthread_mutex_t      queue_lock; /* of what follows */
  RlLifting           *queue[RL_LIFTER_QUEUE];
  int                  queued;
  bool                 busy, joinable;
  pthread_t            thread;
  atomic_bool          quit;
} RlLifter;

/** Sets up a zeroed one; `rate` in frames a second. */
void rl_lifter_open(RlLifter *lifter, double rate, RlDocument *document);

/** Does what the desk and the document say is wanted. The worker. */
void rl_lifter_work(RlLifter *lifter);

/** Copies the sound that the take of that title was lifted from, as long as it is kept: NULL, or
   why it is not there. The worker. */
const char *rl_lifter_record(RlLifter *lifter, RlSlice title, RlRecord *record);

/** run() will be called; will not be called for now: what is kept stays. While run() is not being
    called. */
void rl_lifter_activate(RlLifter *lifter);
void rl_lifter_deactivate(RlLifter *lifter);

/** Ends it, before the document. The audio thread is gone. */
void rl_lifter_close(RlLifter *lifter);

#endif
