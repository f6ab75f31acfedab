/* SPDX-License-Identifier: ISC */
#include "ui/files/background.h"

#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdlib.h>

struct RlBackground {
  atomic_int  holders; /* the thread, and whoever began it */
  atomic_bool done, unwanted;
  void (*work)(void *data, const RlBackground *background);
  void (*drop)(void *data);
  void *data;
};

static atomic_int running;

static void
let_go(RlBackground *const b)
{
  if (atomic_fetch_sub(&b->holders, 1) == 1) {
    b->drop(b->data);
    free(b);
  }
}

static void *
run(void *const data)
{
  RlBackground *const b = (RlBackground *)data;
  b->work(b->data, b);
  atomic_store(&b->done, true);
  let_go(b);
  atomic_fetch_sub(&running, 1);
  return NULL;
}

/* The host's signals are none of this thread's business. */
static bool
thread_start(RlBackground *const b)
{
  pthread_attr_t attributes;
  pthread_t      thread;
  sigset_t       all, before;
  sigfillset(&all);
  pthread_attr_init(&attributes);
  pthread_attr_setdetachstate(&attributes, PTHREAD_CREATE_DETACHED);
  pthread_sigmask(SIG_SETMASK, &all, &before);
  const int error = pthread_create(&thread, &attributes, run, b);
  pthread_sigmask(SIG_SETMASK, &before, NULL);
  pthread_attr_destroy(&attributes);
  return !error;
}

RlBackground *
rl_background_begin(void (*const work)(void *data, const RlBackground *background),
                    void (*const drop)(void *data), void *const data)
{
  const bool          may = atomic_fetch_add(&running, 1) < RL_BACKGROUNDS_MAX;
  RlBackground *const b   = may ? (RlBackground *)calloc(1, sizeof(RlBackground)) : NULL;
  if (b) {
    atomic_store(&b->holders, 2);
    b->work = work;
    b->drop = drop;
    b->data = data;
  }
  if (b && thread_start(b)) {
    return b;
  }
  free(b);
  atomic_fetch_sub(&running, 1);
  return NULL;
}

bool
rl_background_done(const RlBackground *const background)
{
  return atomic_load(&background->done);
}

bool
rl_background_wanted(const RlBackground *const background)
{
  return !atomic_load(&background->unwanted);
}

void
rl_background_end(RlBackground *const background)
{
  if (background) {
    atomic_store(&background->unwanted, true);
    let_go(background);
  }
}
