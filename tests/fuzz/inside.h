/* SPDX-License-Identifier: ISC */
/* The plugin from inside, for the fuzzers: an instance is put back to its first moment by hand, in
   a microsecond or, where its document has worked, some ten (opening one reads a chart: 0.2 ms and
   more). Every input begins on an instance that cannot be told from a new one, so every finding can
   be had again from its input alone. */
#ifndef RL_FUZZ_INSIDE_H
#define RL_FUZZ_INSIDE_H

#include "pool.h"

#include "demand.h"
#include "feed.h"
#include "plugin/rt/processor.h"
#include "plugin/worker/auditioner.h"
#include "plugin/worker/document.h"
#include "plugin/worker/harp_ear_maker.h"

#include <lv2/atom/util.h>
#include <lv2/core/lv2.h>

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- the least of a host ---- */

enum { URIDS = 256 };

static const char *urid_names[URIDS];
static LV2_URID    urids;
static int         mapped;         /* calls of map */
static int         scheduled;      /* calls of schedule_work */
static bool        schedule_fails; /* as a full queue would make it */

static LV2_URID
map_uri(LV2_URID_Map_Handle handle, const char *const uri)
{
  (void)handle;
  ++mapped;
  LV2_URID i = 0;
  while (i < urids && strcmp(urid_names[i], uri) != 0) {
    ++i;
  }
  if (i == urids) {
    DEMAND(urids < URIDS);
    urid_names[urids++] = uri; /* all of them are literals of the plugin's or of these tests */
  }
  return i + 1;
}

static LV2_Worker_Status
schedule(LV2_Worker_Schedule_Handle handle, const uint32_t size, const void *const data)
{
  (void)handle;
  DEMAND(data && size <= 64);
  ++scheduled;
  return schedule_fails ? LV2_WORKER_ERR_NO_SPACE : LV2_WORKER_SUCCESS;
}

static LV2_Worker_Status
respond(LV2_Worker_Respond_Handle handle, const uint32_t size, const void *const data)
{
  (void)handle;
  (void)size;
  (void)data;
  return LV2_WORKER_SUCCESS;
}

static const LV2_Descriptor *
descriptor(void)
{
  return lv2_descriptor(0);
}

/* The document whose outbox the processor reads. */
static RlDocument *
document_of(const RlProcessor *const processor)
{
  return (RlDocument *)(void *)((char *)processor->outbox - offsetof(RlDocument, pool.outbox));
}

/* An instance's handle: the processor comes first in it, and knows the ring and the outbox. */
static RlProcessor *
open_one(const bool mono)
{
  static LV2_URID_Map         map        = {NULL, map_uri};
  static LV2_Worker_Schedule  later      = {NULL, schedule};
  static const LV2_Feature    a          = {LV2_URID__map, &map};
  static const LV2_Feature    b          = {LV2_WORKER__schedule, &later};
  const LV2_Feature *const    features[] = {&a, &b, NULL};
  const LV2_Descriptor *const d          = lv2_descriptor(mono);
  RlProcessor *const          processor  = (RlProcessor *)d->instantiate(d, 48000, "", features);
  DEMAND(processor && (processor->face == RL_FACE_MONO) == mono && processor->snapshot &&
         processor->ring && processor->outbox);
  return processor;
}

/* ---- back to the first moment ---- */

typedef struct {
  RlProcessor *processor;
  RlProcessor  first;
  RlSnapshot   first_snapshot;
  RlDocument   document;
  bool         worked; /* the document has been at work since */
} Instance;

static void
instance_open(Instance *const i, const bool mono)
{
  i->processor      = open_one(mono);
  i->first          = *i->processor;
  i->first_snapshot = *i->processor->snapshot;
  memcpy(&i->document, document_of(i->processor), sizeof(i->document));
  i->worked = false;
  DEMAND(!i->document.unread_chart && !i->document.unread_plan && !i->document.plan &&
         i->document.pool.reserve && !atomic_load(&i->document.pool.outbox.newest));
}

/* Frees the snapshots on their way back to the worker and forgets everything else that was asked.
 */
static void
ring_drain(RlRing *const ring)
{
  static char body[RL_CHART_MAX + 1];
  RlAskHead   head;
  RlSnapshot *snapshot;
  while (rl_ring_read(ring, &head, sizeof(head))) {
    DEMAND(head.size <= sizeof(body));
    DEMAND(rl_ring_read(ring, body, head.size));
    if (head.ask == RL_ASK_FREE) {
      memcpy(&snapshot, body, sizeof(snapshot));
      rl_document_free(snapshot);
    }
  }
}

/* The ear for the player is nobody's any more: neither lent nor wanted. */
static void
ear_take_back(RlProcessor *const processor)
{
  RlHarpEarDesk *const  desk = processor->harp_ear.desk;
  RlHarpEarMaker *const maker =
    (RlHarpEarMaker *)(void *)((char *)desk - offsetof(RlHarpEarMaker, desk));
  free(processor->harp_ear.loan);
  free(atomic_exchange(&desk->offered, NULL));
  free(atomic_exchange(&desk->returned, NULL));
  atomic_store(&desk->wanted, 0);
  maker->newest = NULL;
  maker->said   = NULL;
}

/* Nor is anything listened to. */
static void
audition_take_back(RlProcessor *const processor)
{
  RlAuditionDesk *const desk = processor->audition.desk;
  RlAuditioner *const   auditioner =
    (RlAuditioner *)(void *)((char *)desk - offsetof(RlAuditioner, desk));
  free(processor->audition.loan);
  free(atomic_exchange(&desk->offered, NULL));
  free(atomic_exchange(&desk->returned, NULL));
  atomic_store(&desk->wanted, 0);
  auditioner->heeded = 0;
  auditioner->number = 0;
  auditioner->out    = false;
}

/* Puts the instance back, its ring beginning `at` bytes from the start. */
static void
instance_reset(Instance *const i, const uint32_t at)
{
  RlProcessor *const processor = i->processor;
  RlDocument *const  document  = document_of(processor);
  RlSnapshot *const  snapshot  = processor->snapshot;
  ring_drain(processor->ring);
  ear_take_back(processor);
  audition_take_back(processor);
  if (i->worked) {
    rl_document_free(processor->retired);
    rl_document_free(atomic_exchange(&document->pool.outbox.newest, NULL));
    rl_document_free(document->pool.reserve);
    free(document->unread_chart);
    free(document->unread_plan);
    free(document->plan);
    free(document->hear_take);
    memcpy(snapshot, &i->first_snapshot, sizeof(*snapshot));
    memcpy(document, &i->document, sizeof(*document)); /* its lock is open, as it was */
    document->pool.reserve = NULL;
    DEMAND(rl_snapshot_pool_open(&document->pool));
    i->worked = false;
  }
  *processor                   = i->first;
  processor->snapshot          = snapshot;
  processor->follower.snapshot = snapshot;
  atomic_store(&processor->ring->written, at);
  atomic_store(&processor->ring->read, at);
  atomic_store(&processor->publisher.mailbox->slots.written, 0);
  atomic_store(&processor->publisher.mailbox->slots.read, 0);
}

static void
instance_work(Instance *const i)
{
  static const LV2_Worker_Interface *worker;
  if (!worker) {
    worker = (const LV2_Worker_Interface *)descriptor()->extension_data(LV2_WORKER__interface);
  }
  i->worked = true;
  DEMAND(worker->work(i->processor, respond, NULL, 0, NULL) == LV2_WORKER_SUCCESS);
}

/* One run(), in which the audio thread asks nobody for memory or for URIs. */
static void
instance_run(const Instance *const i, const uint32_t frames)
{
  const int before = scheduled;
  const int asked  = mapped;
  pool_close(true);
  descriptor()->run(i->processor, frames);
  pool_close(false);
  DEMAND(scheduled <= before + 1);
  DEMAND(mapped == asked);
}

#endif
