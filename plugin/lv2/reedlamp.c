/* SPDX-License-Identifier: ISC */
/* The plugin as an LV2 host sees it. What happens in a block is the processor's business
   (processor.h), what the music means the follower's (follower.h), what is read and kept the
   document's (document.h). */
#include "plugin/lift/lifter.h"
#include "plugin/listen/listener.h"
#include "plugin/lv2/log.h"
#include "plugin/lv2/state.h"
#include "plugin/lv2/work_thread.h"
#include "plugin/osc/sender.h"
#include "plugin/rt/processor.h"
#include "plugin/worker/auditioner.h"
#include "plugin/worker/document.h"
#include "plugin/worker/harp_ear_maker.h"

#include <lv2/core/lv2.h>
#include <lv2/state/state.h>
#include <lv2/worker/worker.h>

#include <stdlib.h>
#include <string.h>

typedef struct {
  RlProcessor    processor;
  RlRing         ring;
  RlDocument     document;
  RlMailbox      mailbox;
  RlSender       sender;
  RlListener     listener;
  RlHarpEarMaker harp_ear;
  RlAuditioner   auditioner;
  RlLifter       lifter;
  RlWorkThread   thread; /* where the host has no worker */
  LV2_Log_Logger log;
  bool           maps; /* the host maps URIs: without, nothing on an atom port has a meaning */
} Reedlamp;

/* ---- work ---- */

static void
unplugged_say(Reedlamp *const self)
{
  const uint32_t ports = rl_processor_unplugged(&self->processor);
  const bool     had   = self->maps && self->processor.face != RL_FACE_PLAIN;
  rl_log_unplugged(&self->log, had ? ports : 0);
}

static void
harp_ear_work(Reedlamp *const self)
{
  const char *const wrong = rl_harp_ear_maker_work(&self->harp_ear);
  if (wrong) {
    rl_document_problem(&self->document, RL_ABOUT_HARP_FROM, wrong);
  }
}

static void
work_do(void *const data)
{
  Reedlamp *const self = (Reedlamp *)data;
  rl_document_answer(&self->document, &self->ring);
  rl_sender_work(&self->sender, &self->mailbox, &self->document);
  rl_listener_work(&self->listener);
  harp_ear_work(self);
  rl_auditioner_work(&self->auditioner, &self->document);
  rl_lifter_work(&self->lifter);
  unplugged_say(self);
}

/* The host has no worker: a thread of ours is one, but where run() may take its time. */
static LV2_Worker_Status
schedule_own(const LV2_Worker_Schedule_Handle handle, const uint32_t size, const void *const data)
{
  Reedlamp *const self = (Reedlamp *)handle;
  (void)size;
  (void)data;
  if (rl_processor_freewheels(&self->processor)) {
    work_do(self);
  } else {
    rl_work_thread_ask(&self->thread);
  }
  return LV2_WORKER_SUCCESS;
}

/* ---- the host's calls ---- */

static void
run(const LV2_Handle handle, const uint32_t frames)
{
  RlProcessor *const p = &((Reedlamp *)handle)->processor;
  rl_processor_run(p, frames);
  if (rl_processor_freewheels(p) && p->listening.hearing) {
    rl_listener_wait(p->listening.hearing);
  }
}

static bool
carries_atoms(const RlPort port)
{
  return rl_ports[port].kind == RL_KIND_ATOM_IN || rl_ports[port].kind == RL_KIND_ATOM_OUT;
}

static void
connect_port(const LV2_Handle handle, const uint32_t index, void *const data)
{
  Reedlamp *const self = (Reedlamp *)handle;
  const RlPort    port = rl_port_at(index, self->processor.face);
  if (port < RL_PORTS && (self->maps || !carries_atoms(port))) {
    rl_processor_connect(&self->processor, port, data);
  }
}

static void
activate(const LV2_Handle handle)
{
  Reedlamp *const self = (Reedlamp *)handle;
  rl_processor_restart(&self->processor);
  rl_listener_activate(&self->listener);
  rl_lifter_activate(&self->lifter);
}

/* Whoever hears us is told that it is over for now. */
static void
deactivate(const LV2_Handle handle)
{
  Reedlamp *const self = (Reedlamp *)handle;
  rl_listener_deactivate(&self->listener);
  rl_lifter_deactivate(&self->lifter);
  if (self->processor.publisher.on) {
    rl_sender_work(&self->sender, &self->mailbox, &self->document); /* makes room */
    rl_osc_publisher_stop(&self->processor.publisher, &self->processor.follower);
    rl_sender_work(&self->sender, &self->mailbox, &self->document);
  }
}

static void
cleanup(const LV2_Handle handle)
{
  Reedlamp *const self = (Reedlamp *)handle;
  rl_work_thread_stop(&self->thread);
  deactivate(handle);
  rl_listener_close(&self->listener);
  rl_lifter_close(&self->lifter);
  rl_harp_ear_maker_close(&self->harp_ear, self->processor.harp_ear.loan);
  rl_auditioner_close(&self->auditioner, self->processor.audition.loan);
  rl_sender_close(&self->sender);
  rl_document_answer(&self->document, &self->ring);
  unplugged_say(self);
  rl_document_free(self->processor.retired);
  rl_document_free(self->processor.snapshot);
  free(self->processor.picture);
  rl_document_close(&self->document);
  free(self);
}

/* Some hosts pass features without a URI (lv2file 0.95 does). */
static void *
feature(const LV2_Feature *const *const features, const char *const uri)
{
  for (int i = 0; features && features[i]; ++i) {
    if (features[i]->URI && !strcmp(features[i]->URI, uri)) {
      return features[i]->data;
    }
  }
  return NULL;
}

static LV2_URID
map_nothing(LV2_URID_Map_Handle handle, const char *uri)
{
  (void)handle;
  (void)uri;
  return 0;
}

static unsigned
form_for_listener(void *const data, RlForm *const form)
{
  return rl_document_form(&((Reedlamp *)data)->document, form);
}

static const char *
record_fetch(void *const data, const RlSlice title, RlRecord *const record)
{
  return rl_lifter_record(&((Reedlamp *)data)->lifter, title, record);
}

static LV2_Handle
instantiate(const LV2_Descriptor *const descriptor, const double rate, const char *const bundle,
            const LV2_Feature *const *const features)
{
  (void)bundle;
  Reedlamp *const self = (Reedlamp *)calloc(1, sizeof(Reedlamp));
  if (!self) {
    return NULL;
  }
  LV2_URID_Map                     nothing = {NULL, map_nothing};
  LV2_URID_Map *const              map     = (LV2_URID_Map *)feature(features, LV2_URID__map);
  const LV2_Worker_Schedule        own     = {self, schedule_own};
  const LV2_Worker_Schedule *const hosts =
    (const LV2_Worker_Schedule *)feature(features, LV2_WORKER__schedule);
  self->maps = map;
  lv2_log_logger_init(&self->log, map, (LV2_Log_Log *)feature(features, LV2_LOG__log));
  rl_sender_open(&self->sender);
  rl_listener_open(&self->listener, rate, (RlFormSource){self, form_for_listener});
  rl_harp_ear_maker_open(&self->harp_ear, rate);
  rl_auditioner_open(&self->auditioner, rate, (RlRecordSource){self, record_fetch});
  rl_lifter_open(&self->lifter, rate, &self->document);
  if (!rl_document_open(&self->document) ||
      !(hosts || rl_work_thread_start(&self->thread, work_do, self))) {
    cleanup(self);
    return NULL;
  }
  rl_processor_init(&self->processor, map ? map : &nothing, hosts ? hosts : &own, descriptor->URI,
                    rate, &self->ring, &self->document.pool.outbox, &self->mailbox,
                    &self->listener.desk, &self->harp_ear.desk, &self->auditioner.desk,
                    &self->lifter.desk);
  rl_log_missing(&self->log, map, hosts);
  return self;
}

static LV2_Worker_Status
work(const LV2_Handle handle, const LV2_Worker_Respond_Function respond,
     const LV2_Worker_Respond_Handle respond_handle, const uint32_t size, const void *const data)
{
  (void)respond;
  (void)respond_handle;
  (void)size;
  (void)data;
  work_do(handle);
  return LV2_WORKER_SUCCESS;
}

/* Snapshots come over the document's outbox, so that a restore can hand them over the same way. */
static LV2_Worker_Status
work_response(const LV2_Handle handle, const uint32_t size, const void *const body)
{
  (void)handle;
  (void)size;
  (void)body;
  return LV2_WORKER_SUCCESS;
}

static LV2_State_Status
save(const LV2_Handle handle, const LV2_State_Store_Function store, const LV2_State_Handle state,
     const uint32_t flags, const LV2_Feature *const *const features)
{
  Reedlamp *const self = (Reedlamp *)handle;
  (void)flags;
  if (!self->maps) {
    return LV2_STATE_ERR_NO_FEATURE;
  }
  return rl_state_save(&self->document, &self->processor.uris, store, state,
                       (const LV2_State_Map_Path *)feature(features, LV2_STATE__mapPath),
                       (const LV2_State_Free_Path *)feature(features, LV2_STATE__freePath));
}

static LV2_State_Status
restore(const LV2_Handle handle, const LV2_State_Retrieve_Function retrieve,
        const LV2_State_Handle state, const uint32_t flags,
        const LV2_Feature *const *const features)
{
  Reedlamp *const self = (Reedlamp *)handle;
  (void)flags;
  if (!self->maps) {
    return LV2_STATE_ERR_NO_FEATURE;
  }
  return rl_state_restore(&self->document, &self->processor.uris, retrieve, state,
                          (const LV2_State_Map_Path *)feature(features, LV2_STATE__mapPath),
                          (const LV2_State_Free_Path *)feature(features, LV2_STATE__freePath));
}

static const void *
extension_data(const char *const uri)
{
  static const LV2_Worker_Interface worker = {work, work_response, NULL};
  static const LV2_State_Interface  state  = {save, restore};
  return !strcmp(uri, LV2_WORKER__interface)  ? (const void *)&worker
         : !strcmp(uri, LV2_STATE__interface) ? (const void *)&state
                                              : NULL;
}

static const LV2_Descriptor descriptors[] = {
  {RL_PLUGIN_URI, instantiate, connect_port, activate, run, deactivate, cleanup, extension_data},
  {RL_MONO_URI, instantiate, connect_port, activate, run, deactivate, cleanup, extension_data},
  {RL_PLAIN_URI, instantiate, connect_port, activate, run, deactivate, cleanup, extension_data},
};

LV2_SYMBOL_EXPORT const LV2_Descriptor *
lv2_descriptor(const uint32_t index)
{
  return index < sizeof(descriptors) / sizeof(descriptors[0]) ? &descriptors[index] : NULL;
}
