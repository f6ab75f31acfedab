/* SPDX-License-Identifier: ISC */
/* The plugin as an LV2 host sees it. What happens in a block is the processor's business
   (processor.h), what the music means the follower's (follower.h), what is read and kept the
   document's (document.h). */
#include "plugin/lv2/state.h"
#include "plugin/osc/sender.h"
#include "plugin/rt/processor.h"
#include "plugin/worker/document.h"

#include <lv2/core/lv2.h>
#include <lv2/state/state.h>
#include <lv2/worker/worker.h>

#include <stdlib.h>
#include <string.h>

typedef struct {
  RlProcessor processor;
  RlRing      ring;
  RlDocument  document;
  RlMailbox   mailbox;
  RlSender    sender;
} Reedlamp;

static void
run(const LV2_Handle handle, const uint32_t frames)
{
  rl_processor_run(&((Reedlamp *)handle)->processor, frames);
}

static void
connect_port(const LV2_Handle handle, const uint32_t index, void *const data)
{
  RlProcessor *const processor = &((Reedlamp *)handle)->processor;
  const RlPort       port      = rl_port_at(index, processor->mono);
  if (port < RL_PORTS) {
    rl_processor_connect(processor, port, data);
  }
}

static void
activate(const LV2_Handle handle)
{
  rl_processor_restart(&((Reedlamp *)handle)->processor);
}

/* Whoever hears us is told that it is over for now. */
static void
deactivate(const LV2_Handle handle)
{
  Reedlamp *const self = (Reedlamp *)handle;
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
  deactivate(handle);
  rl_sender_close(&self->sender);
  rl_document_answer(&self->document, &self->ring);
  rl_document_free(self->processor.retired);
  rl_document_free(self->processor.snapshot);
  rl_document_close(&self->document);
  free(self);
}

static void *
feature(const LV2_Feature *const *const features, const char *const uri)
{
  for (int i = 0; features && features[i]; ++i) {
    if (!strcmp(features[i]->URI, uri)) {
      return features[i]->data;
    }
  }
  return NULL;
}

static LV2_Handle
instantiate(const LV2_Descriptor *const descriptor, const double rate, const char *const bundle,
            const LV2_Feature *const *const features)
{
  (void)bundle;
  LV2_URID_Map *const              map = (LV2_URID_Map *)feature(features, LV2_URID__map);
  const LV2_Worker_Schedule *const schedule =
    (const LV2_Worker_Schedule *)feature(features, LV2_WORKER__schedule);
  Reedlamp *const self = map && schedule ? (Reedlamp *)calloc(1, sizeof(Reedlamp)) : NULL;
  if (!self) {
    return NULL;
  }
  rl_sender_open(&self->sender);
  if (!rl_document_open(&self->document)) {
    cleanup(self);
    return NULL;
  }
  rl_processor_init(&self->processor, map, schedule, descriptor->URI, rate, &self->ring,
                    &self->document.pool.outbox, &self->mailbox);
  return self;
}

static LV2_Worker_Status
work(const LV2_Handle handle, const LV2_Worker_Respond_Function respond,
     const LV2_Worker_Respond_Handle respond_handle, const uint32_t size, const void *const data)
{
  Reedlamp *const self = (Reedlamp *)handle;
  (void)respond;
  (void)respond_handle;
  (void)size;
  (void)data;
  rl_document_answer(&self->document, &self->ring);
  rl_sender_work(&self->sender, &self->mailbox, &self->document);
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
};

LV2_SYMBOL_EXPORT const LV2_Descriptor *
lv2_descriptor(const uint32_t index)
{
  return index < sizeof(descriptors) / sizeof(descriptors[0]) ? &descriptors[index] : NULL;
}
