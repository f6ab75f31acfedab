/* SPDX-License-Identifier: ISC */
/* The listener: a thread of its own that follows the song by ear, while the clock is the ear and
   the plugin is active. Made and joined by the worker, or by the host when it activates; never in
   run(). Nothing is allocated while nobody wants to listen. */
#ifndef RL_PLUGIN_LISTEN_LISTENER_H
#define RL_PLUGIN_LISTEN_LISTENER_H

#include "plugin/listen/follow.h"

#include <pthread.h>

/** The listener. */
typedef struct {
  RlListenDesk         desk;
  pthread_mutex_t      lock; /* of what follows; never the audio thread */
  double               rate;
  RlFormSource         source;
  bool                 active;
  struct RlListenTask *task; /* NULL: nobody listens */
} RlListener;

/** Sets up a zeroed one. `source` is asked in the listener's thread. */
void rl_listener_open(RlListener *listener, double rate, RlFormSource source);

/** Does what the desk says is wanted. The worker. */
void rl_listener_work(RlListener *listener);

/** run() will be called; will not be called for now: the thread is made again or joined, what it
   knows is kept. While run() is not being called. */
void rl_listener_activate(RlListener *listener);
void rl_listener_deactivate(RlListener *listener);

/** Waits until all but some 50 ms of the sound in `hearing` has been heard, or nothing more is.
   Only in run() while the host freewheels, with what the processor has been lent; not real-time
   safe. */
void rl_listener_wait(const RlHearing *hearing);

/** Ends it. The audio thread is gone. */
void rl_listener_close(RlListener *listener);

#endif
