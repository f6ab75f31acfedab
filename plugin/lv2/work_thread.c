/* SPDX-License-Identifier: ISC */
#include "plugin/lv2/work_thread.h"

#include <signal.h>
#include <time.h>

static const struct timespec nap = {.tv_nsec = 5000000};

static void *
live(void *const data)
{
  RlWorkThread *const t = (RlWorkThread *)data;
  while (!atomic_load(&t->over)) {
    if (atomic_exchange(&t->due, false)) {
      t->work(t->data);
    } else {
      nanosleep(&nap, NULL);
    }
  }
  return NULL;
}

/* Signals are the host's: its own threads take them. */
bool
rl_work_thread_start(RlWorkThread *const t, void (*const work)(void *), void *const data)
{
  sigset_t all, before;
  t->work = work;
  t->data = data;
  sigfillset(&all);
  pthread_sigmask(SIG_SETMASK, &all, &before);
  t->runs = !pthread_create(&t->thread, NULL, live, t);
  pthread_sigmask(SIG_SETMASK, &before, NULL);
  return t->runs;
}

void
rl_work_thread_ask(RlWorkThread *const t)
{
  atomic_store(&t->due, true);
}

void
rl_work_thread_stop(RlWorkThread *const t)
{
  if (t->runs) {
    atomic_store(&t->over, true);
    pthread_join(t->thread, NULL);
    t->runs = false;
  }
}
