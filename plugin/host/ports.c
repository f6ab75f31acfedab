/* SPDX-License-Identifier: ISC */
/* The plugin's ports, each with a buffer. */
#include "plugin/host/inside.h"

#include <lv2/core/lv2.h>
#include <lv2/resize-port/resize-port.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

RlHostPort *
rl_host_port(const RlHost *const h, const char *const symbol)
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
shared_buffer(const RlHost *const h, const RlHostPort *const p)
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
  RlHostPort *const     p    = &h->port[index];
  const LilvPort *const port = lilv_plugin_get_port_by_index(h->plugin, index);
  snprintf(p->symbol, sizeof(p->symbol), "%s",
           lilv_node_as_string(lilv_port_get_symbol(h->plugin, port)));
  p->kind  = port_is(h, port, LV2_CORE__ControlPort) ? RL_HOST_CONTROL
             : port_is(h, port, LV2_CORE__AudioPort) ? RL_HOST_AUDIO
             : port_is(h, port, LV2_ATOM__AtomPort)  ? RL_HOST_ATOM
                                                     : RL_HOST_OTHER;
  p->input = port_is(h, port, LV2_CORE__InputPort);
  p->value = standard;
  if (p->kind == RL_HOST_AUDIO) {
    void *const shared = shared_buffer(h, p);
    p->lent            = shared;
    p->buffer          = shared ? shared : rl_host_must(calloc(h->choice.max_block, sizeof(float)));
  } else if (p->kind == RL_HOST_ATOM) {
    const uint32_t wanted = h->choice.notify_bytes ? h->choice.notify_bytes : minimum_size(h, port);
    p->size               = p->input ? RL_HOST_INPUT_SIZE : wanted;
    p->buffer             = rl_host_must(calloc(1, p->size + sizeof(LV2_Atom_Sequence)));
  }
  lilv_instance_connect_port(h->instance, index,
                             p->kind == RL_HOST_CONTROL ? (void *)&p->value : p->buffer);
}

void
rl_host_ports_make(RlHost *const h)
{
  h->ports            = lilv_plugin_get_num_ports(h->plugin);
  h->port             = (RlHostPort *)rl_host_must(calloc(h->ports, sizeof(RlHostPort)));
  float *const values = (float *)rl_host_must(calloc(h->ports, sizeof(float)));
  lilv_plugin_get_port_ranges_float(h->plugin, NULL, NULL, values);
  for (uint32_t i = 0; i < h->ports; ++i) {
    port_make(h, i, values[i]);
  }
  free(values);
}

/* Inputs empty, outputs with their capacity in their size. */
void
rl_host_atoms_reset(RlHost *const h, const bool inputs)
{
  for (uint32_t i = 0; i < h->ports; ++i) {
    RlHostPort *const p = &h->port[i];
    if (p->kind != RL_HOST_ATOM || p->input != inputs || !p->buffer) {
      continue;
    }
    LV2_Atom_Sequence *const s = (LV2_Atom_Sequence *)p->buffer;
    s->atom.type               = p->input ? h->forge.Sequence : h->forge.Chunk;
    s->atom.size               = p->input ? (uint32_t)sizeof(s->body) : p->size;
    if (p->input) {
      s->body.unit = 0;
      s->body.pad  = 0;
    }
  }
}

void
rl_host_set(RlHost *const host, const char *const symbol, const float value)
{
  rl_host_port(host, symbol)->value = value;
}

float
rl_host_get(const RlHost *const host, const char *const symbol)
{
  return rl_host_port(host, symbol)->value;
}

float *
rl_host_audio(RlHost *const host, const char *const symbol)
{
  return (float *)rl_host_port(host, symbol)->buffer;
}

void
rl_host_connect(RlHost *const host, const char *const symbol, void *const buffer,
                const uint32_t bytes)
{
  RlHostPort *const p = rl_host_port(host, symbol);
  if (!p->lent) {
    free(p->buffer);
  }
  p->buffer = buffer;
  p->size   = bytes;
  p->lent   = true;
  lilv_instance_connect_port(host->instance, (uint32_t)(p - host->port), buffer);
  rl_host_atoms_reset(host, true);
}

void
rl_host_ports_free(RlHost *const h)
{
  for (uint32_t i = 0; i < h->ports; ++i) {
    if (!h->port[i].lent) {
      free(h->port[i].buffer);
    }
  }
  free(h->port);
}
