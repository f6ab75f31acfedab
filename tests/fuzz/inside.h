/* The plugin from inside, for the fuzzers: an instance is put back to its first moment by hand, in
   a microsecond or, where its desk has worked, some ten (opening one reads a chart: 0.2 ms and
   more). Every input begins on an instance that cannot be told from a new one, so every finding can
   be had again from its input alone. */
#ifndef RL_FUZZ_INSIDE_H
#define RL_FUZZ_INSIDE_H

#include "pool.h"

#include "../../plugin/band.h"
#include "demand.h"
#include "feed.h"

#include <lv2/atom/util.h>
#include <lv2/core/lv2.h>

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
  while (i < urids && strcmp(urid_names[i], uri)) {
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

/* An instance's handle: the band comes first in it, and knows the ring and the desk. */
static RlBand *
open_one(const bool mono)
{
  static LV2_URID_Map         map        = {NULL, map_uri};
  static LV2_Worker_Schedule  later      = {NULL, schedule};
  static const LV2_Feature    a          = {LV2_URID__map, &map};
  static const LV2_Feature    b          = {LV2_WORKER__schedule, &later};
  const LV2_Feature *const    features[] = {&a, &b, NULL};
  const LV2_Descriptor *const d          = lv2_descriptor(mono);
  RlBand *const               band       = (RlBand *)d->instantiate(d, 48000, "", features);
  DEMAND(band && band->mono == mono && band->score && band->ring && band->desk);
  return band;
}

/* ---- back to the first moment ---- */

typedef struct {
  RlBand *band;
  RlBand  first;
  RlScore page;
  RlDesk  desk;
  bool    worked; /* the desk has been at work since */
} Instance;

static void
instance_open(Instance *const i, const bool mono)
{
  i->band  = open_one(mono);
  i->first = *i->band;
  i->page  = *i->band->score;
  memcpy(&i->desk, i->band->desk, sizeof(i->desk));
  i->worked = false;
  DEMAND(!i->desk.unread && !i->desk.unread_plan && !i->desk.plan && !atomic_load(&i->desk.outbox));
}

/* Frees the pages on their way back to the worker and forgets everything else that was asked. */
static void
ring_drain(RlRing *const ring)
{
  static char body[RL_CHART_MAX + 1];
  RlAskHead   head;
  RlScore    *page;
  while (rl_ring_read(ring, &head, sizeof(head))) {
    DEMAND(head.size <= sizeof(body));
    DEMAND(rl_ring_read(ring, body, head.size));
    if (head.ask == RL_ASK_FREE) {
      memcpy(&page, body, sizeof(page));
      rl_desk_free(page);
    }
  }
}

/* Puts the instance back, its ring beginning `at` bytes from the start. */
static void
instance_reset(Instance *const i, const uint32_t at)
{
  RlBand *const  band = i->band;
  RlDesk *const  desk = band->desk;
  RlScore *const page = band->score;
  ring_drain(band->ring);
  if (i->worked) {
    rl_desk_free(band->retired);
    rl_desk_free(atomic_exchange(&desk->outbox, NULL));
    free(desk->unread);
    free(desk->unread_plan);
    rl_scribe_drop(&desk->scribe);
    free(desk->plan);
    memcpy(page, &i->page, sizeof(*page));
    memcpy(desk, &i->desk, sizeof(*desk)); /* its lock is open, as it was */
    i->worked = false;
  }
  *band              = i->first;
  band->score        = page;
  band->leader.score = page;
  atomic_store(&band->ring->written, at);
  atomic_store(&band->ring->read, at);
  atomic_store(&band->air.mailbox->written, 0);
  atomic_store(&band->air.mailbox->read, 0);
}

static void
instance_work(Instance *const i)
{
  static const LV2_Worker_Interface *worker;
  if (!worker) {
    worker = (const LV2_Worker_Interface *)descriptor()->extension_data(LV2_WORKER__interface);
  }
  i->worked = true;
  DEMAND(worker->work(i->band, respond, NULL, 0, NULL) == LV2_WORKER_SUCCESS);
}

/* One run(), in which the audio thread asks nobody for memory or for URIs. */
static void
instance_run(const Instance *const i, const uint32_t frames)
{
  const int before = scheduled;
  const int asked  = mapped;
  pool_close(true);
  descriptor()->run(i->band, frames);
  pool_close(false);
  DEMAND(scheduled <= before + 1);
  DEMAND(mapped == asked);
}

#endif
