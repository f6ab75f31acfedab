/* SPDX-License-Identifier: ISC */
/* A thread of ours in a process of somebody else's: the signals there are the host's business, so
   it starts with all of them masked. */
#ifndef RL_PLUGIN_THREAD_THREAD_H
#define RL_PLUGIN_THREAD_THREAD_H

#include <pthread.h>
#include <sched.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdbool.h>

/** As pthread_create(), whose errors it returns. */
static inline int
rl_thread_create(pthread_t *const thread, const pthread_attr_t *const how,
                 void *(*const work)(void *data), void *const         data)
{
  sigset_t all, before;
  sigfillset(&all);
  pthread_sigmask(SIG_SETMASK, &all, &before);
  const int error = pthread_create(thread, how, work, data);
  pthread_sigmask(SIG_SETMASK, &before, NULL);
  return error;
}

/** The same for an ordinary thread, whatever the one is that makes it, with a stack of so many
    bytes. */
static inline int
rl_thread_ordinary(pthread_t *const thread, const size_t stack, void *(*const work)(void *data),
                   void *const data)
{
  static const struct sched_param ordinary = {0};
  pthread_attr_t                  how;
  pthread_attr_init(&how);
  pthread_attr_setinheritsched(&how, PTHREAD_EXPLICIT_SCHED);
  pthread_attr_setschedpolicy(&how, SCHED_OTHER);
  pthread_attr_setschedparam(&how, &ordinary);
  pthread_attr_setstacksize(&how, stack);
  const int error = rl_thread_create(thread, &how, work, data);
  pthread_attr_destroy(&how);
  return error;
}

/** One that works until it is `over`. Zeroed at the beginning. */
typedef struct {
  pthread_t   thread;
  bool        runs;
  atomic_bool over; /**< the work looks at it, and returns soon */
} RlThread;

/** Begins one as rl_thread_ordinary() does, that has none; false if the system gives none. */
static inline bool
rl_thread_begin(RlThread *const t, const size_t stack, void *(*const work)(void *data),
                void *const data)
{
  atomic_store(&t->over, false);
  t->runs = rl_thread_ordinary(&t->thread, stack, work, data) == 0;
  return t->runs;
}

/** Ends it, if one was begun, and waits for that. */
static inline void
rl_thread_end(RlThread *const t)
{
  atomic_store(&t->over, true);
  if (t->runs) {
    pthread_join(t->thread, NULL);
  }
  t->runs = false;
}

#endif
