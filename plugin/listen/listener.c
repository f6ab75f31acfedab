/* SPDX-License-Identifier: ISC */
#include "plugin/listen/listener.h"

#include "plugin/thread/thread.h"

#include <stdlib.h>
#include <time.h>

enum {
  STACK  = 1 << 18,
  BEHIND = 8,   /* chunks that a freewheeling host need not wait for */
  STANDS = 1000 /* looks without a chunk heard: nobody listens any more */
};

static const struct timespec pause_live = {0, 10000000}, pause_freewheel = {0, 200000};

/* All that listening needs. */
struct RlListenTask {
  RlHearing      hearing;
  RlListenFollow follow;
  RlThread       thread;
};

typedef struct RlListenTask Task;

/* ---- the thread ---- */

static void *
listen_on(void *const data)
{
  Task *const t = data;
  while (!atomic_load(&t->thread.over)) {
    const RlSoundChunk *const chunk = rl_sound_ring_peek(&t->hearing.sound);
    if (chunk) {
      rl_listen_follow(&t->follow, chunk);
      rl_sound_ring_drop(&t->hearing.sound);
    } else {
      nanosleep(t->follow.last.freewheel ? &pause_freewheel : &pause_live, NULL);
    }
  }
  return NULL;
}

static bool
thread_make(Task *const t)
{
  return rl_thread_begin(&t->thread, STACK, listen_on, t);
}

/* ---- the task ---- */

static void
task_end(RlListener *const l)
{
  rl_thread_end(&l->task->thread);
  rl_listen_follow_end(&l->task->follow);
  free(l->task);
  l->task = NULL;
}

static void
task_begin(RlListener *const l)
{
  l->task = calloc(1, sizeof(Task));
  if (l->task) {
    l->task->follow.hearing  = &l->task->hearing;
    l->task->follow.rate     = l->rate;
    l->task->follow.source   = l->source;
    l->task->follow.news.key = RL_KEY_NOT_HEARD;
  }
  if (l->task && !thread_make(l->task)) {
    task_end(l);
  }
  atomic_store(&l->desk.cannot, !l->task);
  if (l->task) {
    atomic_store(&l->desk.lend.offered, &l->task->hearing);
  }
}

/* What the audio thread has given back, or never took, is nobody's. */
static void
settle(RlListener *const l)
{
  bool wanted;
  if (rl_lend_desk_over(&l->desk.lend, &wanted) && l->task) {
    task_end(l);
  }
  if (wanted && l->active && !l->task) {
    task_begin(l);
  }
}

/* ---- the face ---- */

void
rl_listener_open(RlListener *const l, const double rate, const RlFormSource source)
{
  pthread_mutex_init(&l->lock, NULL);
  l->rate   = rate;
  l->source = source;
}

void
rl_listener_work(RlListener *const l)
{
  pthread_mutex_lock(&l->lock);
  settle(l);
  pthread_mutex_unlock(&l->lock);
}

void
rl_listener_activate(RlListener *const l)
{
  pthread_mutex_lock(&l->lock);
  l->active = true;
  settle(l);
  if (l->task && !l->task->thread.runs) {
    rl_sound_ring_clear(&l->task->hearing.sound);
    rl_slots_clear(&l->task->hearing.news_slots);
    atomic_store(&l->desk.cannot, !thread_make(l->task));
  }
  pthread_mutex_unlock(&l->lock);
}

void
rl_listener_wait(const RlHearing *const h)
{
  uint32_t waiting = rl_sound_ring_waiting(&h->sound);
  for (int stood = 0; waiting > BEHIND && stood < STANDS; ++stood) {
    nanosleep(&pause_freewheel, NULL);
    const uint32_t left = rl_sound_ring_waiting(&h->sound);
    stood               = left < waiting ? 0 : stood;
    waiting             = left;
  }
}

void
rl_listener_deactivate(RlListener *const l)
{
  pthread_mutex_lock(&l->lock);
  l->active = false;
  if (l->task) {
    rl_thread_end(&l->task->thread);
  }
  pthread_mutex_unlock(&l->lock);
}

void
rl_listener_close(RlListener *const l)
{
  if (l->task) {
    task_end(l);
  }
  pthread_mutex_destroy(&l->lock);
}
