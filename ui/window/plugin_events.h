/* SPDX-License-Identifier: ISC */
/* What the plugin says on `notify`, out of the atoms a host hands over. Anything may be in them:
   every type and size is checked, nothing need be aligned, what makes no sense is left out. No
   state; any thread. */
#ifndef RL_UI_WINDOW_PLUGIN_EVENTS_H
#define RL_UI_WINDOW_PLUGIN_EVENTS_H

#include "ui/controller/controller.h"

#include "plugin/protocol/uris.h"

typedef enum { RL_PLUGIN_EVENT_NOTHING, RL_PLUGIN_EVENT_PLACE, RL_PLUGIN_EVENT_TEXT } RlPluginEvent;

/** One message. */
typedef struct {
  RlPlaceReport report; /**< RL_PLUGIN_EVENT_PLACE */
  RlProperty    which;  /**< RL_PLUGIN_EVENT_TEXT */
  const char   *text;   /**< its bytes, inside the atom, without a NUL behind them */
  uint32_t      length; /**< in bytes */
} RlPluginMessage;

/** Reads one atom of `size` bytes in all. */
RlPluginEvent rl_plugin_event_read(const RlUris *uris, const void *atom, uint32_t size,
                                   RlPluginMessage *message);

#endif
