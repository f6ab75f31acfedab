/* SPDX-License-Identifier: ISC */
/* The plugin's messages on its `notify` port, out of the atoms that a host hands over. Their
   content is not trusted: types and sizes are checked, values fit the types they are read into,
   nothing need be aligned. No state; any thread. */
#ifndef RL_UI_WINDOW_PLUGIN_EVENTS_H
#define RL_UI_WINDOW_PLUGIN_EVENTS_H

#include "ui/controller/controller.h"

#include "plugin/protocol/uris.h"

typedef enum {
  RL_PLUGIN_EVENT_NOTHING,
  RL_PLUGIN_EVENT_PLACE,
  RL_PLUGIN_EVENT_TEXT,
  RL_PLUGIN_EVENT_HEARING,
  RL_PLUGIN_EVENT_PLAYED,
  RL_PLUGIN_EVENT_HIT,
  RL_PLUGIN_EVENT_PICTURE
} RlPluginEvent;

/** One message. */
typedef struct {
  RlPlaceReport     report;  /**< RL_PLUGIN_EVENT_PLACE */
  RlHearingReport   hearing; /**< RL_PLUGIN_EVENT_HEARING */
  RlPlayedReport    played;  /**< RL_PLUGIN_EVENT_PLAYED */
  RlHitReport       hit;     /**< RL_PLUGIN_EVENT_HIT */
  RlViewPicturePart picture; /**< RL_PLUGIN_EVENT_PICTURE; its cells lie inside the atom */
  RlProperty        which;   /**< RL_PLUGIN_EVENT_TEXT */
  const char       *text;    /**< its bytes, inside the atom, without a NUL behind them */
  uint32_t          length;  /**< in bytes */
} RlPluginMessage;

/** Reads one atom of `size` bytes in all. */
RlPluginEvent rl_plugin_event_read(const RlUris *uris, const void *atom, uint32_t size,
                                   RlPluginMessage *message);

#endif
