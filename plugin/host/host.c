/* SPDX-License-Identifier: ISC */
#include "plugin/host/host.h"

#include <lilv/lilv.h>
#include <lv2/atom/forge.h>
#include <lv2/atom/util.h>
#include <lv2/buf-size/buf-size.h>
#include <lv2/core/lv2.h>
#include <lv2/midi/midi.h>
#include <lv2/options/options.h>
#include <lv2/patch/patch.h>
#include <lv2/presets/presets.h>
#include <lv2/resize-port/resize-port.h>
#include <lv2/state/state.h>
#include <lv2/time/time.h>
#include <lv2/worker/worker.h>

#include <pthread.h>
#include <semaphore.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { INPUT_BYTES = 1 << 17, QUEUE_BYTES = 1 << 17, URIDS = 4096 };

typedef enum { CONTROL, AUDIO, ATOM, OTHER } Kind;

typedef struct {
  char     symbol[64];
  Kind     kind;
  bool     input;
  float    value;
  void    *buffer; /* audio or atoms */
  uint32_t bytes;  /* of an atom buffer, its head included */
  bool     lent;   /* the buffer is somebody else's */
} Port;

/* Work waiting to be done: a size, then that many bytes, over and over. */
typedef struct {
  char            bytes[QUEUE_BYTES];
  uint32_t        used;
  pthread_mutex_t lock;
} Queue;

struct RlHost {
  RlHostChoice                choice;
  LilvWorld                  *world;
  const LilvPlugin           *plugin;
  LilvInstance               *instance;
  Port                       *port;
  uint32_t                    ports;
  char                       *uri[URIDS];
  uint32_t                    uris;
  pthread_mutex_t             uris_lock;
  LV2_URID_Map                map;
  LV2_URID_Unmap              unmap;
  LV2_Worker_Schedule         schedule;
  const LV2_Worker_Interface *worker;
  Queue                       requests, responses;
  pthread_t                   thread;
  sem_t                       wake;
  atomic_bool                 quit;
  bool                        active;
  LV2_Atom_Forge              forge; /* knows the URIDs of atom types */
  RlHostListener              listener;
  void                       *listener_data;
  void (*around)(void *data, bool before);
  void *around_data;
};

static void *
must(void *const memory)
{
  if (!memory) {
    fputs("out of memory\n", stderr);
    abort();
  }
  return memory;
}

/* ---- URIs ---- */

static LV2_URID
map_uri(void *const handle, const char *const uri)
{
  RlHost *const h = (RlHost *)handle;
  pthread_mutex_lock(&h->uris_lock);
  uint32_t i = 0;
  while (i < h->uris && strcmp(h->uri[i], uri) != 0) {
    ++i;
  }
  if (i == h->uris) {
    if (i == URIDS) {
      fputs("too many URIs\n", stderr);
      abort();
    }
    h->uri[h->uris++] = (char *)must(strdup(uri));
  }
  pthread_mutex_unlock(&h->uris_lock);
  return i + 1;
}

static const char *
unmap_uri(void *const handle, const LV2_URID urid)
{
  const RlHost *const h = (const RlHost *)handle;
  return urid >= 1 && urid <= h->uris ? h->uri[urid - 1] : NULL;
}

LV2_URID
rl_host_map(RlHost *const host, const char *const uri)
{
  return map_uri(host, uri);
}

const char *
rl_host_unmap(const RlHost *const host, const LV2_URID urid)
{
  return urid >= 1 && urid <= host->uris ? host->uri[urid - 1] : NULL;
}

/* ---- the worker ---- */

static bool
queue_put(Queue *const q, const uint32_t size, const void *const data)
{
  pthread_mutex_lock(&q->lock);
  const bool fits = q->used + sizeof(size) + size <= QUEUE_BYTES;
  if (fits) {
    memcpy(q->bytes + q->used, &size, sizeof(size));
    memcpy(q->bytes + q->used + sizeof(size), data, size);
    q->used += (uint32_t)sizeof(size) + size;
  }
  pthread_mutex_unlock(&q->lock);
  return fits;
}

/* Takes the oldest entry; the caller frees it. NULL if there is none. */
static void *
queue_take(Queue *const q, uint32_t *const size)
{
  void *data = NULL;
  pthread_mutex_lock(&q->lock);
  if (q->used) {
    memcpy(size, q->bytes, sizeof(*size));
    data = must(malloc(*size ? *size : 1));
    memcpy(data, q->bytes + sizeof(*size), *size);
    q->used -= (uint32_t)sizeof(*size) + *size;
    memmove(q->bytes, q->bytes + sizeof(*size) + *size, q->used);
  }
  pthread_mutex_unlock(&q->lock);
  return data;
}

static LV2_Worker_Status
respond(const LV2_Worker_Respond_Handle handle, const uint32_t size, const void *const data)
{
  RlHost *const h = (RlHost *)handle;
  return queue_put(&h->responses, size, data) ? LV2_WORKER_SUCCESS : LV2_WORKER_ERR_NO_SPACE;
}

static void
work_all(RlHost *const h)
{
  uint32_t size = 0;
  for (void *data; (data = queue_take(&h->requests, &size));) {
    h->worker->work(lilv_instance_get_handle(h->instance), respond, h, size, data);
    free(data);
  }
}

static void *
work_in_thread(void *const data)
{
  RlHost *const h = (RlHost *)data;
  while (!sem_wait(&h->wake) && !h->quit) {
    work_all(h);
  }
  return NULL;
}

static void
around(const RlHost *const h, const bool before)
{
  if (h->around) {
    h->around(h->around_data, before);
  }
}

static LV2_Worker_Status
request(RlHost *const h, const uint32_t size, const void *const data)
{
  if (h->choice.worker == RL_HOST_AT_ONCE) {
    return h->worker->work(lilv_instance_get_handle(h->instance), respond, h, size, data);
  }
  if (!queue_put(&h->requests, size, data)) {
    return LV2_WORKER_ERR_NO_SPACE;
  }
  if (h->choice.worker == RL_HOST_THREADED) {
    sem_post(&h->wake);
  }
  return LV2_WORKER_SUCCESS;
}

/* Called by the plugin inside run(), but what it does is the host's. */
static LV2_Worker_Status
schedule_work(const LV2_Worker_Schedule_Handle handle, const uint32_t size, const void *const data)
{
  RlHost *const h = (RlHost *)handle;
  around(h, false);
  const LV2_Worker_Status status = request(h, size, data);
  around(h, true);
  return status;
}

static void
respond_all(RlHost *const h)
{
  uint32_t size = 0;
  for (void *data; h->worker && (data = queue_take(&h->responses, &size));) {
    h->worker->work_response(lilv_instance_get_handle(h->instance), size, data);
    free(data);
  }
}

/* ---- ports ---- */

static Port *
port_find(const RlHost *const h, const char *const symbol)
{
  for (uint32_t i = 0; i < h->ports; ++i) {
    if (!strcmp(h->port[i].symbol, symbol)) {
      return &h->port[i];
    }
  }
  fprintf(stderr, "no port \"%s\"\n", symbol);
  abort();
}

static bool
port_is(const RlHost *const h, const LilvPort *const port, const char *const class_uri)
{
  LilvNode *const node = lilv_new_uri(h->world, class_uri);
  const bool      is   = lilv_port_is_a(h->plugin, port, node);
  lilv_node_free(node);
  return is;
}

static uint32_t
minimum_size(const RlHost *const h, const LilvPort *const port)
{
  LilvNode *const key   = lilv_new_uri(h->world, LV2_RESIZE_PORT__minimumSize);
  LilvNode *const value = lilv_port_get(h->plugin, port, key);
  const uint32_t size = value && lilv_node_is_int(value) ? (uint32_t)lilv_node_as_int(value) : 4096;
  lilv_node_free(value);
  lilv_node_free(key);
  return size;
}

/* Another port's buffer to share, when running in place: in_left and out_left. */
static void *
shared_buffer(const RlHost *const h, const Port *const p)
{
  for (uint32_t i = 0; h->choice.in_place && !strncmp(p->symbol, "out_", 4) && i < h->ports; ++i) {
    if (!strncmp(h->port[i].symbol, "in_", 3) && !strcmp(h->port[i].symbol + 3, p->symbol + 4)) {
      return h->port[i].buffer;
    }
  }
  return NULL;
}

static void
port_make(RlHost *const h, const uint32_t index, const float standard)
{
  Port *const           p    = &h->port[index];
  const LilvPort *const port = lilv_plugin_get_port_by_index(h->plugin, index);
  snprintf(p->symbol, sizeof(p->symbol), "%s",
           lilv_node_as_string(lilv_port_get_symbol(h->plugin, port)));
  p->kind  = port_is(h, port, LV2_CORE__ControlPort) ? CONTROL
             : port_is(h, port, LV2_CORE__AudioPort) ? AUDIO
             : port_is(h, port, LV2_ATOM__AtomPort)  ? ATOM
                                                     : OTHER;
  p->input = port_is(h, port, LV2_CORE__InputPort);
  p->value = standard;
  if (p->kind == AUDIO) {
    void *const shared = shared_buffer(h, p);
    p->lent            = shared;
    p->buffer          = shared ? shared : must(calloc(h->choice.max_block, sizeof(float)));
  } else if (p->kind == ATOM) {
    const uint32_t wanted = h->choice.notify_bytes ? h->choice.notify_bytes : minimum_size(h, port);
    p->bytes              = p->input ? INPUT_BYTES : wanted;
    p->buffer             = must(calloc(1, p->bytes + sizeof(LV2_Atom_Sequence)));
  }
  lilv_instance_connect_port(h->instance, index,
                             p->kind == CONTROL ? (void *)&p->value : p->buffer);
}

static void
ports_make(RlHost *const h)
{
  h->ports            = lilv_plugin_get_num_ports(h->plugin);
  h->port             = (Port *)must(calloc(h->ports, sizeof(Port)));
  float *const values = (float *)must(calloc(h->ports, sizeof(float)));
  lilv_plugin_get_port_ranges_float(h->plugin, NULL, NULL, values);
  for (uint32_t i = 0; i < h->ports; ++i) {
    port_make(h, i, values[i]);
  }
  free(values);
}

/* Inputs empty, outputs with their capacity in their size. */
static void
atoms_reset(RlHost *const h, const bool inputs)
{
  for (uint32_t i = 0; i < h->ports; ++i) {
    Port *const p = &h->port[i];
    if (p->kind != ATOM || p->input != inputs || !p->buffer) {
      continue;
    }
    LV2_Atom_Sequence *const s = (LV2_Atom_Sequence *)p->buffer;
    s->atom.type               = p->input ? h->forge.Sequence : h->forge.Chunk;
    s->atom.size               = p->input ? (uint32_t)sizeof(s->body) : p->bytes;
    if (p->input) {
      s->body.unit = 0;
      s->body.pad  = 0;
    }
  }
}

void
rl_host_set(RlHost *const host, const char *const symbol, const float value)
{
  port_find(host, symbol)->value = value;
}

float
rl_host_get(const RlHost *const host, const char *const symbol)
{
  return port_find(host, symbol)->value;
}

float *
rl_host_audio(RlHost *const host, const char *const symbol)
{
  return (float *)port_find(host, symbol)->buffer;
}

void
rl_host_connect(RlHost *const host, const char *const symbol, void *const buffer,
                const uint32_t bytes)
{
  Port *const p = port_find(host, symbol);
  if (!p->lent) {
    free(p->buffer);
  }
  p->buffer = buffer;
  p->bytes  = bytes;
  p->lent   = true;
  lilv_instance_connect_port(host->instance, (uint32_t)(p - host->port), buffer);
  atoms_reset(host, true);
}

/* ---- opening ---- */

static RlHost *
fail(RlHost *const host, const char *const what, const char *const which)
{
  fprintf(stderr, "%s: %s\n", which, what);
  rl_host_close(host);
  return NULL;
}

static void
bundles_load(RlHost *const h)
{
  char         folder[4096];
  const size_t n   = strlen(h->choice.bundles);
  const bool   one = n > 4 && !strcmp(h->choice.bundles + n - 4, ".lv2");
  snprintf(folder, sizeof(folder), "%s%s/", h->choice.bundles, one ? "" : "/reedlamp.lv2");
  LilvNode *const path = lilv_new_file_uri(h->world, NULL, folder);
  lilv_world_load_bundle(h->world, path);
  lilv_world_load_specifications(h->world);
  lilv_node_free(path);
}

static bool
instance_make(RlHost *const h)
{
  const int32_t      most      = (int32_t)h->choice.max_block;
  const LV2_URID     type      = map_uri(h, LV2_ATOM__Int);
  LV2_Options_Option options[] = {
    {LV2_OPTIONS_INSTANCE, 0, map_uri(h, LV2_BUF_SIZE__maxBlockLength), sizeof(most), type, &most},
    {LV2_OPTIONS_INSTANCE, 0, 0, 0, 0, NULL}};
  const LV2_Feature        map        = {LV2_URID__map, &h->map};
  const LV2_Feature        unmap      = {LV2_URID__unmap, &h->unmap};
  const LV2_Feature        schedule   = {LV2_WORKER__schedule, &h->schedule};
  const LV2_Feature        option     = {LV2_OPTIONS__options, options};
  const LV2_Feature        bounded    = {LV2_BUF_SIZE__boundedBlockLength, NULL};
  const LV2_Feature *const features[] = {&map, &unmap, &schedule, &option, &bounded, NULL};
  h->instance = lilv_plugin_instantiate(h->plugin, h->choice.rate, features);
  return h->instance;
}

RlHost *
rl_host_open(const RlHostChoice *const choice)
{
  RlHost *const h = (RlHost *)must(calloc(1, sizeof(RlHost)));
  h->choice       = *choice;
  pthread_mutex_init(&h->uris_lock, NULL);
  pthread_mutex_init(&h->requests.lock, NULL);
  pthread_mutex_init(&h->responses.lock, NULL);
  sem_init(&h->wake, 0, 0);
  h->map      = (LV2_URID_Map){h, map_uri};
  h->unmap    = (LV2_URID_Unmap){h, unmap_uri};
  h->schedule = (LV2_Worker_Schedule){h, schedule_work};
  h->world    = lilv_world_new();
  lv2_atom_forge_init(&h->forge, &h->map);
  bundles_load(h);
  LilvNode *const uri = lilv_new_uri(h->world, choice->uri);
  h->plugin           = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(h->world), uri);
  lilv_node_free(uri);
  if (!h->plugin) {
    return fail(h, "no such plugin in that folder; build it first", choice->uri);
  }
  if (!instance_make(h)) {
    return fail(h, "the plugin did not start", choice->uri);
  }
  h->worker = (const LV2_Worker_Interface *)lilv_instance_get_extension_data(h->instance,
                                                                             LV2_WORKER__interface);
  ports_make(h);
  atoms_reset(h, true);
  if (choice->worker == RL_HOST_THREADED) {
    pthread_create(&h->thread, NULL, work_in_thread, h);
  }
  return h;
}

void
rl_host_activate(RlHost *const host)
{
  lilv_instance_activate(host->instance);
  host->active = true;
}

void
rl_host_deactivate(RlHost *const host)
{
  lilv_instance_deactivate(host->instance);
  host->active = false;
}

static void
ports_free(RlHost *const h)
{
  for (uint32_t i = 0; i < h->ports; ++i) {
    if (!h->port[i].lent) {
      free(h->port[i].buffer);
    }
  }
  free(h->port);
}

void
rl_host_close(RlHost *const host)
{
  if (host->thread) {
    host->quit = true;
    sem_post(&host->wake);
    pthread_join(host->thread, NULL);
  }
  if (host->instance) {
    if (host->active) {
      rl_host_deactivate(host);
    }
    lilv_instance_free(host->instance);
  }
  ports_free(host);
  lilv_world_free(host->world);
  for (uint32_t i = 0; i < host->uris; ++i) {
    free(host->uri[i]);
  }
  sem_destroy(&host->wake);
  free(host);
}

/* ---- sending ---- */

void
rl_host_send(RlHost *const host, const char *const symbol, const int64_t frame,
             const LV2_Atom *const atom)
{
  Port *const              p    = port_find(host, symbol);
  LV2_Atom_Sequence *const s    = (LV2_Atom_Sequence *)p->buffer;
  const uint32_t           size = (uint32_t)sizeof(LV2_Atom_Event) + lv2_atom_pad_size(atom->size);
  if (sizeof(LV2_Atom) + s->atom.size + size > p->bytes) {
    fprintf(stderr, "too much for one block on \"%s\"\n", symbol);
    abort();
  }
  char *const at = (char *)p->buffer + sizeof(LV2_Atom) + s->atom.size;
  memcpy(at, &frame, sizeof(frame));
  memcpy(at + sizeof(frame), atom, sizeof(LV2_Atom) + atom->size);
  s->atom.size += size;
}

typedef union {
  LV2_Atom atom;
  uint8_t  bytes[1 << 16];
} Scratch;

static void
key_number(LV2_Atom_Forge *const f, RlHost *const h, const char *const key)
{
  lv2_atom_forge_key(f, map_uri(h, key));
}

void
rl_host_send_position(RlHost *const host, const int64_t frame, const RlHostPosition *const p)
{
  Scratch               scratch;
  LV2_Atom_Forge *const f = &host->forge;
  LV2_Atom_Forge_Frame  object;
  lv2_atom_forge_set_buffer(f, scratch.bytes, sizeof(scratch));
  lv2_atom_forge_object(f, &object, 0, map_uri(host, LV2_TIME__Position));
  if (p->frame) {
    key_number(f, host, LV2_TIME__frame);
    lv2_atom_forge_long(f, *p->frame);
  }
  if (p->speed) {
    key_number(f, host, LV2_TIME__speed);
    lv2_atom_forge_float(f, *p->speed);
  }
  if (p->bar_beat) {
    key_number(f, host, LV2_TIME__barBeat);
    lv2_atom_forge_float(f, *p->bar_beat);
  }
  if (p->bar) {
    key_number(f, host, LV2_TIME__bar);
    lv2_atom_forge_long(f, *p->bar);
  }
  if (p->beat) {
    key_number(f, host, LV2_TIME__beat);
    lv2_atom_forge_double(f, *p->beat);
  }
  if (p->beat_unit) {
    key_number(f, host, LV2_TIME__beatUnit);
    lv2_atom_forge_int(f, *p->beat_unit);
  }
  if (p->beats_per_bar) {
    key_number(f, host, LV2_TIME__beatsPerBar);
    lv2_atom_forge_float(f, *p->beats_per_bar);
  }
  if (p->beats_per_minute) {
    key_number(f, host, LV2_TIME__beatsPerMinute);
    lv2_atom_forge_float(f, *p->beats_per_minute);
  }
  lv2_atom_forge_pop(f, &object);
  rl_host_send(host, "control", frame, &scratch.atom);
}

void
rl_host_send_midi(RlHost *const host, const char *const symbol, const int64_t frame,
                  const uint8_t bytes[3])
{
  Scratch scratch;
  scratch.atom.size = 3;
  scratch.atom.type = map_uri(host, LV2_MIDI__MidiEvent);
  memcpy(scratch.bytes + sizeof(LV2_Atom), bytes, 3);
  rl_host_send(host, symbol, frame, &scratch.atom);
}

void
rl_host_send_text(RlHost *const host, const int64_t frame, const char *const property,
                  const char *const type, const char *const text)
{
  Scratch               scratch;
  LV2_Atom_Forge *const f      = &host->forge;
  const uint32_t        length = (uint32_t)strlen(text) + 1;
  LV2_Atom_Forge_Frame  object;
  lv2_atom_forge_set_buffer(f, scratch.bytes, sizeof(scratch));
  lv2_atom_forge_object(f, &object, 0, map_uri(host, LV2_PATCH__Set));
  key_number(f, host, LV2_PATCH__property);
  lv2_atom_forge_urid(f, map_uri(host, property));
  key_number(f, host, LV2_PATCH__value);
  lv2_atom_forge_atom(f, length, map_uri(host, type));
  lv2_atom_forge_write(f, text, length);
  lv2_atom_forge_pop(f, &object);
  rl_host_send(host, "control", frame, &scratch.atom);
}

void
rl_host_send_get(RlHost *const host, const int64_t frame, const char *const property)
{
  Scratch               scratch;
  LV2_Atom_Forge *const f = &host->forge;
  LV2_Atom_Forge_Frame  object;
  lv2_atom_forge_set_buffer(f, scratch.bytes, sizeof(scratch));
  lv2_atom_forge_object(f, &object, 0, map_uri(host, LV2_PATCH__Get));
  if (property) {
    key_number(f, host, LV2_PATCH__property);
    lv2_atom_forge_urid(f, map_uri(host, property));
  }
  lv2_atom_forge_pop(f, &object);
  rl_host_send(host, "control", frame, &scratch.atom);
}

/* ---- running ---- */

void
rl_host_listen(RlHost *const host, const RlHostListener listener, void *const data)
{
  host->listener      = listener;
  host->listener_data = data;
}

static void
hear_all(RlHost *const h)
{
  for (uint32_t i = 0; h->listener && i < h->ports; ++i) {
    const Port *const p = &h->port[i];
    if (p->kind != ATOM || p->input || !p->buffer) {
      continue;
    }
    const LV2_Atom_Sequence *const s = (const LV2_Atom_Sequence *)p->buffer;
    if (s->atom.type != h->forge.Sequence || s->atom.size < sizeof(s->body)) {
      continue;
    }
    LV2_ATOM_SEQUENCE_FOREACH(s, event)
    {
      h->listener(h->listener_data, p->symbol, event->time.frames, &event->body);
    }
  }
}

void
rl_host_run_bare(RlHost *const host, const uint32_t frames)
{
  lilv_instance_run(host->instance, frames);
}

void
rl_host_around(RlHost *const host, void (*const call)(void *, bool), void *const data)
{
  host->around      = call;
  host->around_data = data;
}

void
rl_host_run(RlHost *const host, const uint32_t frames)
{
  atoms_reset(host, false);
  around(host, true);
  rl_host_run_bare(host, frames);
  around(host, false);
  atoms_reset(host, true);
  hear_all(host);
  if (host->choice.worker == RL_HOST_AFTER) {
    work_all(host);
  }
  respond_all(host);
  if (host->worker && host->worker->end_run) {
    host->worker->end_run(lilv_instance_get_handle(host->instance));
  }
}

/* ---- state ---- */

static const void *
get_value(const char *const symbol, void *const data, uint32_t *const size, uint32_t *const type)
{
  RlHost *const h = (RlHost *)data;
  *size           = sizeof(float);
  *type           = map_uri(h, LV2_ATOM__Float);
  return &port_find(h, symbol)->value;
}

static void
set_value(const char *const symbol, void *const data, const void *const value, const uint32_t size,
          const uint32_t type)
{
  RlHost *const h = (RlHost *)data;
  if (type == map_uri(h, LV2_ATOM__Float) && size == sizeof(float)) {
    memcpy(&port_find(h, symbol)->value, value, sizeof(float));
  } else if (type == map_uri(h, LV2_ATOM__Int) && size == sizeof(int32_t)) {
    int32_t whole;
    memcpy(&whole, value, sizeof(whole));
    port_find(h, symbol)->value = (float)whole;
  }
}

char *
rl_host_save(RlHost *const host)
{
  LilvState *const state =
    lilv_state_new_from_instance(host->plugin, host->instance, &host->map, NULL, NULL, NULL, NULL,
                                 get_value, host, LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE, NULL);
  char *const turtle = state ? lilv_state_to_string(host->world, &host->map, &host->unmap, state,
                                                    "urn:reedlamp:saved", NULL)
                             : NULL;
  lilv_state_free(state);
  return turtle;
}

static bool
state_apply(RlHost *const h, LilvState *const state)
{
  const LV2_Feature        schedule   = {LV2_WORKER__schedule, &h->schedule};
  const LV2_Feature *const features[] = {&schedule, NULL};
  if (state) {
    lilv_state_restore(state, h->instance, set_value, h, 0, features);
    lilv_state_free(state);
  }
  return state;
}

bool
rl_host_restore(RlHost *const host, const char *const turtle)
{
  return state_apply(host, lilv_state_new_from_string(host->world, &host->map, turtle));
}

bool
rl_host_preset(RlHost *const host, const char *const uri)
{
  LilvNode *const node = lilv_new_uri(host->world, uri);
  lilv_world_load_resource(host->world, node);
  LilvState *const state = lilv_state_new_from_world(host->world, &host->map, node);
  lilv_node_free(node);
  return state_apply(host, state);
}
