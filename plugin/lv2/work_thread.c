/* SPDX-License-Identifier: ISC */
#include "plugin/lv2/work_thread.h"

#include <time.h>

static const struct timespec nap = {.tv_nsec = 5000000};

static void *
live(void *const data)
{
  RlWorkThread *const t = (RlWorkThread *)data;
  while (!atomic_load(&t->thread.over)) {
    if (atomic_exchange(&t->due, false)) {
      t->work(t->data);
    } else {
      nanosleep(&nap, NULL);
    }
  }
  return NULL;
}

bool
rl_work_thread_start(RlWorkThread *const t, void (*const work)(void *), void *const data)
{
  t->work        = work;
  t->data        = data;
  t->thread.runs = !rl_thread_create(&t->thread.thread, NULL, live, t);
  return t->thread.runs;
}

void
rl_work_thread_ask(RlWorkThread *const t)
{
  atomic_store(&t->due, true);
}

void
rl_work_thread_stop(RlWorkThread *const t)
{
  rl_thread_end(&t->thread);
}
