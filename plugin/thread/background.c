/* SPDX-License-Identifier: ISC */
#include "plugin/thread/background.h"

#include "plugin/thread/thread.h"

#include <errno.h>
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

static bool
thread_start(RlBackground *const b)
{
  pthread_attr_t how;
  pthread_t      thread;
  pthread_attr_init(&how);
  pthread_attr_setdetachstate(&how, PTHREAD_CREATE_DETACHED);
  const int error = rl_thread_create(&thread, &how, run, b);
  pthread_attr_destroy(&how);
  return !error;
}

RlBackground *
rl_background_begin(const int most, void (*const work)(void *data, const RlBackground *background),
                    void (*const drop)(void *data), void *const data)
{
  const bool          may = atomic_fetch_add(&running, 1) < most;
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
  errno = may ? ENOMEM : EAGAIN; /* what a thread needs of memory, mostly */
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
