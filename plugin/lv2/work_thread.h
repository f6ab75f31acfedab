/* SPDX-License-Identifier: ISC */
/* The worker of an instance whose host has none: a thread that looks every few milliseconds whether
   there is something to do. It is asked by a flag rather than by a semaphore, so that run() makes
   no system call here either. */
#ifndef RL_PLUGIN_LV2_WORK_THREAD_H
#define RL_PLUGIN_LV2_WORK_THREAD_H

#include "plugin/thread/thread.h"

/** Zeroed at the beginning. */
typedef struct {
  RlThread    thread;
  atomic_bool due;
  void (*work)(void *data);
  void *data;
} RlWorkThread;

/** Starts a thread that calls `work` whenever it is asked to; false if the system gives none. */
bool rl_work_thread_start(RlWorkThread *thread, void (*work)(void *data), void *data);

/** Asks for work. The audio thread; real-time safe. */
void rl_work_thread_ask(RlWorkThread *thread);

/** Ends the thread, if one was started; what it does is done to its end. */
void rl_work_thread_stop(RlWorkThread *thread);

#endif
