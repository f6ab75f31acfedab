/* SPDX-License-Identifier: ISC */
#include "plugin/host/inside.h"

#include <lv2/atom/util.h>
#include <lv2/buf-size/buf-size.h>
#include <lv2/core/lv2.h>
#include <lv2/options/options.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void *
rl_host_must(void *const memory)
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
  while (i < h->uri_count && strcmp(h->uri[i], uri) != 0) {
    ++i;
  }
  if (i == h->uri_count) {
    if (i == RL_HOST_URIDS) {
      fputs("too many URIs\n", stderr);
      abort();
    }
    h->uri[h->uri_count++] = (char *)rl_host_must(strdup(uri));
  }
  pthread_mutex_unlock(&h->uris_lock);
  return i + 1;
}

static const char *
unmap_uri(void *const handle, const LV2_URID urid)
{
  const RlHost *const h = (const RlHost *)handle;
  return urid >= 1 && urid <= h->uri_count ? h->uri[urid - 1] : NULL;
}

LV2_URID
rl_host_map(RlHost *const host, const char *const uri)
{
  return map_uri(host, uri);
}

const char *
rl_host_unmap(const RlHost *const host, const LV2_URID urid)
{
  return urid >= 1 && urid <= host->uri_count ? host->uri[urid - 1] : NULL;
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
  const bool               works      = h->choice.worker != RL_HOST_NONE;
  const LV2_Feature *const features[] = {&map, &unmap, &option, &bounded, works ? &schedule : NULL,
                                         NULL};
  h->instance = lilv_plugin_instantiate(h->plugin, h->choice.rate, features);
  return h->instance;
}

RlHost *
rl_host_open(const RlHostChoice *const choice)
{
  RlHost *const h = (RlHost *)rl_host_must(calloc(1, sizeof(RlHost)));
  h->choice       = *choice;
  pthread_mutex_init(&h->uris_lock, NULL);
  pthread_mutex_init(&h->requests.lock, NULL);
  pthread_mutex_init(&h->responses.lock, NULL);
  sem_init(&h->wake, 0, 0);
  h->map      = (LV2_URID_Map){h, map_uri};
  h->unmap    = (LV2_URID_Unmap){h, unmap_uri};
  h->schedule = (LV2_Worker_Schedule){h, rl_host_schedule};
  h->world    = lilv_world_new();
  lv2_atom_forge_init(&h->forge, &h->map);
  rl_uris_map(&h->uris, &h->map, choice->uri);
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
  rl_host_ports_make(h);
  rl_host_atoms_reset(h, true);
  rl_host_work_start(h);
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

void
rl_host_close(RlHost *const host)
{
  rl_host_work_stop(host);
  if (host->instance) {
    if (host->active) {
      rl_host_deactivate(host);
    }
    lilv_instance_free(host->instance);
  }
  rl_host_ports_free(host);
  lilv_world_free(host->world);
  for (uint32_t i = 0; i < host->uri_count; ++i) {
    free(host->uri[i]);
  }
  sem_destroy(&host->wake);
  free(host);
}

/* ---- running ---- */

void
rl_host_listen(RlHost *const host, const RlHostListener listener, void *const data)
{
  host->listener      = listener;
  host->listener_data = data;
}

void
rl_host_around_tell(const RlHost *const h, const bool before)
{
  if (h->around) {
    h->around(h->around_data, before);
  }
}

static void
hear_all(RlHost *const h)
{
  for (uint32_t i = 0; h->listener && i < h->ports; ++i) {
    const RlHostPort *const p = &h->port[i];
    if (p->kind != RL_HOST_ATOM || p->input || !p->buffer) {
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
  rl_host_atoms_reset(host, false);
  rl_host_around_tell(host, true);
  rl_host_run_bare(host, frames);
  rl_host_around_tell(host, false);
  rl_host_atoms_reset(host, true);
  hear_all(host);
  if (host->choice.worker == RL_HOST_AFTER) {
    rl_host_work(host);
  }
  rl_host_respond(host);
  if (host->worker && host->worker->end_run) {
    host->worker->end_run(lilv_instance_get_handle(host->instance));
  }
}
