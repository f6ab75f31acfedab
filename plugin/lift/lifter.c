/* SPDX-License-Identifier: ISC */
#include "plugin/lift/lifter.h"

#include "core/ear/ear.h"
#include "plugin/thread/thread.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { STACK = 1 << 19 };

/* All that keeping needs. */
struct RlLifterTask {
  RlTrackRing     ring;
  RlKept          kept;
  pthread_mutex_t lock; /* of the ring's end and what is kept */
  RlThread        thread;
  uint32_t        number; /* of this keeping, from 1 */
};

typedef struct RlLifterTask Task;

/* ---- keeping ---- */

static void
drain(Task *const t)
{
  const RlTrackChunk *chunk;
  pthread_mutex_lock(&t->lock);
  while ((chunk = rl_track_ring_peek(&t->ring))) {
    rl_kept_add(&t->kept, chunk);
    rl_track_ring_drop(&t->ring);
  }
  pthread_mutex_unlock(&t->lock);
}

static void *
keep_on(void *const data)
{
  static const struct timespec pause = {0, 10000000};
  Task *const                  t     = (Task *)data;
  while (!atomic_load(&t->thread.over)) {
    drain(t);
    nanosleep(&pause, NULL);
  }
  return NULL;
}

static bool
thread_make(Task *const t)
{
  return rl_thread_begin(&t->thread, STACK, keep_on, t);
}

static void
task_end(RlLifter *const l)
{
  rl_thread_end(&l->task->thread);
  pthread_mutex_destroy(&l->task->lock);
  free(l->task);
  l->task = NULL;
}

static void
task_begin(RlLifter *const l)
{
  l->task = (Task *)calloc(1, sizeof(Task));
  if (l->task) {
    pthread_mutex_init(&l->task->lock, NULL);
    rl_kept_begin(&l->task->kept, l->rate);
    l->task->number = ++l->keepings;
  }
  if (l->task && !thread_make(l->task)) {
    task_end(l);
  }
  if (l->task) {
    atomic_store(&l->desk.offered, &l->task->ring);
  }
}

/* What the audio thread has given back, or never took, is nobody's. Returns what is wrong. */
static const char *
settle(RlLifter *const l)
{
  bool wanted;
  if (rl_lend_desk_over(&l->desk, &wanted) && l->task) {
    task_end(l);
  }
  if (!wanted) {
    return NULL;
  }
  if (!(l->rate >= RL_EAR_RATE_MIN && l->rate <= RL_EAR_RATE_MAX)) {
    return "capture_from: the track cannot be kept at this sample rate; use one from 22050 to "
           "192000";
  }
  if (l->active && !l->task) {
    task_begin(l);
  }
  return l->task || !l->active
           ? NULL
           : "capture_from: not enough memory to keep the track; close another program";
}

/* ---- lifting ---- */

static void
want_say(RlLifter *const l, const RlLiftWant *const want, const char *const why)
{
  char words[RL_REASON_SIZE];
  rl_lift_want_wrong(want, why, words);
  rl_document_problem(l->document, RL_ABOUT_TAKE, words);
}

static void
deliver(RlLifter *const l, RlLifting *const lifting)
{
  static const char none[] = "no notes are heard in it; choose another part";
  const char       *why;
  const bool        done = rl_lifting_run(lifting, &l->quit, &why);
  if (done && lifting->notated.phrase.notes) {
    rl_document_lifted(l->document, lifting->session, &lifting->notated, lifting->picture,
                       lifting->part.lost       ? RL_LIFTED_LOST
                       : lifting->part.short_of ? RL_LIFTED_SHORT
                                                : RL_LIFTED_WHOLE);
    lifting->picture = NULL;
  } else if (!done && why) {
    want_say(l, &lifting->want, why);
  } else if (done && !lifting->want.pauses) {
    want_say(l, &lifting->want, none);
  }
}

static RlLifting *
queue_first(RlLifter *const l)
{
  pthread_mutex_lock(&l->queue_lock);
  RlLifting *const first = l->queued ? l->queue[0] : NULL;
  l->busy                = first != NULL;
  pthread_mutex_unlock(&l->queue_lock);
  return first;
}

static void
queue_drop(RlLifter *const l)
{
  pthread_mutex_lock(&l->queue_lock);
  rl_lifting_free(l->queue[0]);
  memmove(&l->queue[0], &l->queue[1], (RL_LIFTER_QUEUE - 1) * sizeof(l->queue[0]));
  --l->queued;
  pthread_mutex_unlock(&l->queue_lock);
}

static void *
lift_on(void *const data)
{
  RlLifter *const l = (RlLifter *)data;
  RlLifting      *lifting;
  while ((lifting = queue_first(l))) {
    if (!atomic_load(&l->quit)) {
      deliver(l, lifting);
    }
    queue_drop(l);
  }
  return NULL;
}

/* Samples that wait to be lifted. */
static size_t
queue_samples(RlLifter *const l)
{
  size_t sum = 0;
  for (int i = 0; i < l->queued; ++i) {
    sum += l->queue[i]->samples;
  }
  return sum;
}

/* False without room, or without a thread. */
static bool
queue_add(RlLifter *const l, RlLifting *const lifting)
{
  const size_t most = (size_t)RL_KEPT_SECONDS * RL_LIFT_RATE + 2 * RL_LIFT_RATE;
  pthread_mutex_lock(&l->queue_lock);
  bool good = l->queued < RL_LIFTER_QUEUE && queue_samples(l) + lifting->samples <= most;
  if (good && !l->busy) {
    if (l->joinable) {
      pthread_join(l->thread, NULL);
    }
    l->joinable = rl_thread_ordinary(&l->thread, STACK, lift_on, l) == 0;
    l->busy     = l->joinable;
    good        = l->joinable;
  }
  if (good) {
    l->queue[l->queued++] = lifting;
  }
  pthread_mutex_unlock(&l->queue_lock);
  return good;
}

/* ---- what is wanted ---- */

/* Finds it and cuts it out; NULL: why not. */
static RlLifting *
cut_out(RlLifter *const l, const RlLiftDue *const due, const char **const why)
{
  RlKeptPart part;
  RlLifting *lifting = NULL;
  if (!l->task) {
    *why = "the track is not kept; choose the track in capture_from and let it play";
    return NULL;
  }
  drain(l->task);
  pthread_mutex_lock(&l->task->lock);
  *why = due->want.kind == RL_LIFT_WANT_BARS ? "not heard; let the track play there, then ask again"
                                             : "the track was not heard; let it play, then press";
  if (rl_kept_find(&l->task->kept, &due->want, &due->form, due->chart, &part)) {
    *why    = "not enough memory to write it down; close another program, ask again";
    lifting = rl_lifting_cut(&l->task->kept, &part);
  }
  pthread_mutex_unlock(&l->task->lock);
  return lifting;
}

static void
due_do(RlLifter *const l, const RlLiftDue *const due)
{
  const char      *why;
  RlLifting *const lifting = cut_out(l, due, &why);
  if (!lifting) {
    want_say(l, &due->want, why);
    return;
  }
  lifting->want    = due->want;
  lifting->keeping = l->task->number;
  lifting->form    = due->form;
  lifting->key     = due->key;
  lifting->session = due->session;
  if (!queue_add(l, lifting)) {
    rl_lifting_free(lifting);
    want_say(l, &due->want, "too much at once; wait a moment and ask again");
  }
}

void
rl_lifter_work(RlLifter *const l)
{
  pthread_mutex_lock(&l->lock);
  if (rl_document_lift_due(l->document)) {
    RlLiftDue *const due = (RlLiftDue *)malloc(sizeof(*due));
    while (due && rl_document_lift_next(l->document, due)) {
      due_do(l, due);
    }
    free(due);
  }
  const char *const wrong = settle(l);
  const bool        anew  = wrong != l->said;
  l->said                 = wrong;
  pthread_mutex_unlock(&l->lock);
  if (anew) {
    rl_document_problem(l->document, RL_ABOUT_TRACK, wrong ? wrong : "");
  }
}

/* ---- listened to ---- */

/* Both sides in one. */
static float *
sound_copy(const RlKept *const k, const int64_t first, const size_t count)
{
  enum { PART = 1024 };
  float        right[PART];
  float *const sound = (float *)malloc((count + 1) * sizeof(float));
  for (size_t at = 0; sound && at < count; at += PART) {
    const size_t part = count - at < PART ? count - at : PART;
    rl_kept_copy(k, 0, first + (int64_t)at, part, sound + at);
    rl_kept_copy(k, 1, first + (int64_t)at, part, right);
    for (size_t i = 0; i < part; ++i) {
      sound[at + i] = 0.5F * (sound[at + i] + right[i]);
    }
  }
  return sound;
}

const char *
rl_lifter_record(RlLifter *const l, const RlSlice title, RlRecord *const record)
{
  RlLiftWhere where;
  if (!rl_document_lift_where(l->document, title, &where)) {
    return "that take was not lifted from the track lately; choose one that was";
  }
  const char *why = "what it was lifted from is no longer kept: the track's last minute is, with "
                    "capture_from 2; let it play there again";
  pthread_mutex_lock(&l->lock);
  Task *const t = l->task && l->task->number == where.keeping ? l->task : NULL;
  if (t) {
    pthread_mutex_lock(&t->lock);
    if (rl_kept_has(&t->kept, where.first, where.samples)) {
      record->sound = sound_copy(&t->kept, where.first, where.samples);
      why =
        record->sound ? NULL : "not enough memory to play it; close another program and ask again";
    }
    pthread_mutex_unlock(&t->lock);
  }
  pthread_mutex_unlock(&l->lock);
  record->samples = where.samples;
  record->rate    = RL_LIFT_RATE;
  return why;
}

/* ---- the face ---- */

void
rl_lifter_open(RlLifter *const l, const double rate, RlDocument *const document)
{
  pthread_mutex_init(&l->lock, NULL);
  pthread_mutex_init(&l->queue_lock, NULL);
  l->rate     = rate;
  l->document = document;
}

void
rl_lifter_activate(RlLifter *const l)
{
  pthread_mutex_lock(&l->lock);
  l->active = true;
  settle(l);
  if (l->task && !l->task->thread.runs) {
    thread_make(l->task);
  }
  pthread_mutex_unlock(&l->lock);
}

void
rl_lifter_deactivate(RlLifter *const l)
{
  pthread_mutex_lock(&l->lock);
  l->active = false;
  if (l->task) {
    rl_thread_end(&l->task->thread);
  }
  pthread_mutex_unlock(&l->lock);
}

void
rl_lifter_close(RlLifter *const l)
{
  atomic_store(&l->quit, true);
  if (l->joinable) {
    pthread_join(l->thread, NULL);
  }
  if (l->task) {
    task_end(l);
  }
  pthread_mutex_destroy(&l->queue_lock);
  pthread_mutex_destroy(&l->lock);
}
