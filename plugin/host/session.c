/* SPDX-License-Identifier: ISC */
/* The plugin's state as Turtle, and its presets. */
#include "plugin/host/inside.h"

#include <lv2/state/state.h>

#include <string.h>

static const void *
get_value(const char *const symbol, void *const data, uint32_t *const size, uint32_t *const type)
{
  RlHost *const h = (RlHost *)data;
  *size           = sizeof(float);
  *type           = h->forge.Float;
  return &rl_host_port(h, symbol)->value;
}

static void
set_value(const char *const symbol, void *const data, const void *const value, const uint32_t size,
          const uint32_t type)
{
  RlHost *const h = (RlHost *)data;
  if (type == h->forge.Float && size == sizeof(float)) {
    memcpy(&rl_host_port(h, symbol)->value, value, sizeof(float));
  } else if (type == h->forge.Int && size == sizeof(int32_t)) {
    int32_t whole;
    memcpy(&whole, value, sizeof(whole));
    rl_host_port(h, symbol)->value = (float)whole;
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
