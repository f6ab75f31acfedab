/* SPDX-License-Identifier: ISC */
/* A listener for the fuzzers, in the place of plugin/listen: no thread, so that a run is the same
   every time. Whenever the worker works it drops the sound and tells a place that follows from its
   length. The ear has a fuzzer of its own. And a lifter, in the place of the one with threads: it
   keeps the track and cuts out what is wanted, which comes to nothing. */
#include "plugin/lift/lifter.h"
#include "plugin/listen/listener.h"

#include <stdlib.h>

struct RlListenTask {
  RlHearing hearing;
};

void
rl_listener_open(RlListener *const l, const double rate, const RlFormSource source)
{
  l->rate   = rate;
  l->source = source;
}

static void
place_tell(RlHearing *const h, const RlSoundChunk *const c)
{
  const RlNews news = {
    .report   = {c->frames % 3, c->head.rolling, c->head.frame, c->frames, 50 + c->frames % 170, 1},
    .chart    = c->head.chart,
    .state    = (RlHearingState)(c->frames % RL_HEARINGS),
    .tuned    = c->frames % 2,
    .cents    = (float)(c->frames % 100) - 50,
    .key      = (int8_t)(c->frames % 13 - 1),
    .key_sure = 1};
  if (news.report.known) {
    rl_places_keep(&h->places, 48000, c->head.song == RL_SONG_UNKNOWN ? 0 : c->head.song,
                   (RlFeltPlace){news.report.felt, news.report.tempo});
  }
  rl_news_put(h, &news);
}

void
rl_listener_work(RlListener *const l)
{
  bool wanted;
  if (rl_lend_desk_over(&l->desk.lend, &wanted)) {
    free(l->task);
    l->task = NULL;
  }
  if (wanted && !l->task) {
    l->task = calloc(1, sizeof(*l->task));
    atomic_store(&l->desk.cannot, !l->task);
    atomic_store(&l->desk.lend.offered, l->task ? &l->task->hearing : NULL);
  }
  const RlSoundChunk *chunk;
  while (l->task && (chunk = rl_sound_ring_peek(&l->task->hearing.sound))) {
    place_tell(&l->task->hearing, chunk);
    rl_sound_ring_drop(&l->task->hearing.sound);
  }
}

void
rl_listener_activate(RlListener *const l)
{
  rl_listener_work(l);
}

void
rl_listener_deactivate(RlListener *const l)
{
  (void)l;
}

void
rl_listener_close(RlListener *const l)
{
  free(l->task);
  l->task = NULL;
}

void
rl_listener_wait(const RlHearing *const hearing)
{
  (void)hearing; /* the worker has heard all of it */
}

/* ---- the lifter ---- */

struct RlLifterTask {
  RlTrackRing ring;
  RlKept      kept;
};

void
rl_lifter_open(RlLifter *const l, const double rate, RlDocument *const document)
{
  l->rate     = rate;
  l->document = document;
}

static void
task_settle(RlLifter *const l)
{
  bool wanted;
  if (rl_lend_desk_over(&l->desk, &wanted)) {
    free(l->task);
    l->task = NULL;
  }
  if (wanted && !l->task) {
    l->task = calloc(1, sizeof(*l->task));
    if (l->task) {
      rl_kept_begin(&l->task->kept, l->rate);
    }
    atomic_store(&l->desk.offered, l->task ? &l->task->ring : NULL);
  }
}

static void
cut(RlLifter *const l, const RlLiftDue *const due)
{
  RlKeptPart part;
  if (l->task && rl_kept_find(&l->task->kept, &due->want, &due->form, due->chart, &part)) {
    rl_lifting_free(rl_lifting_cut(&l->task->kept, &part));
  }
}

void
rl_lifter_work(RlLifter *const l)
{
  const RlTrackChunk *chunk;
  RlLiftDue *const    due = malloc(sizeof(*due));
  while (l->task && (chunk = rl_track_ring_peek(&l->task->ring))) {
    rl_kept_add(&l->task->kept, chunk);
    rl_track_ring_drop(&l->task->ring);
  }
  while (due && rl_document_lift_next(l->document, due)) {
    cut(l, due);
  }
  free(due);
  task_settle(l);
}

/* No take is made here that could have been lifted. */
const char *
rl_lifter_record(RlLifter *const l, const RlSlice title, RlRecord *const record)
{
  (void)l;
  (void)title;
  (void)record;
  return "nothing was lifted";
}

void
rl_lifter_activate(RlLifter *const l)
{
  rl_lifter_work(l);
}

void
rl_lifter_deactivate(RlLifter *const l)
{
  (void)l;
}

void
rl_lifter_close(RlLifter *const l)
{
  free(l->task);
  l->task = NULL;
}
