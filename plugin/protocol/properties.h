/* SPDX-License-Identifier: ISC */
/* The text properties: one table for the audio thread, the document, the state, the window and the
   Turtle that describes them. */
#ifndef RL_PLUGIN_PROTOCOL_PROPERTIES_H
#define RL_PLUGIN_PROTOCOL_PROPERTIES_H

#include "core/chart/chart.h"
#include "plugin/protocol/uris.h"

#include <stdint.h>

/** The text properties, in the order in which they are told and described. */
typedef enum {
  RL_CHART,
  RL_CHART_FILE,
  RL_PLAN,
  RL_TAKE,
  RL_OSC_TO,
  RL_PROBLEM,
  RL_TAKE_EDIT,
  RL_BAR_ONE_EDIT,
  RL_PRACTICE,
  RL_LIFT,
  RL_HEAR_TAKE,
  RL_PROPERTIES
} RlProperty;

/** Buffers, the NUL included. */
enum {
  RL_PATH_SIZE    = 4096, /**< of a file's path */
  RL_ADDRESS_SIZE = 1024, /**< of osc_to */
  RL_PROBLEM_SIZE = RL_PATH_SIZE + RL_REASON_SIZE
};

/** Bytes of the longest value that any of them may have, the NUL not counted. */
enum { RL_PROPERTY_MOST = RL_CHART_MAX };

/** Who may do what with a property. */
enum {
  RL_READ  = 1 << 0, /**< the plugin tells it */
  RL_WRITE = 1 << 1, /**< anybody may set it */
  RL_SAVED = 1 << 2  /**< sessions hold it */
};

/** A property as it is described. */
typedef struct {
  const char *symbol;          /**< its URI is urn:reedlamp: and this */
  size_t      urid;            /**< where that is in RlUris */
  const char *label, *comment; /**< NULL: a command of the window's, not described to hosts, whose
                                    own windows could make nothing of it */
  bool        path;            /**< an atom:Path, which may come as a String; else an atom:String */
  unsigned    access;
  uint32_t    most;          /**< bytes, the NUL not counted */
  const char *object, *noun; /**< what is sent, in a sentence that refuses it: "send the chart",
                                "the last chart was not heard" */
} RlPropertyInfo;

/** By RlProperty. */
extern const RlPropertyInfo rl_properties[RL_PROPERTIES];

/** The chart of a new instance. */
extern const char rl_chart_default[];

/** The URID of a property. Real-time safe. */
LV2_URID rl_property_urid(RlProperty property, const RlUris *uris);

/** The type of its values: atom:String or atom:Path. Real-time safe. */
LV2_URID rl_property_type(RlProperty property, const RlUris *uris);

/** Which property a URID means, RL_PROPERTIES if none. Real-time safe. */
RlProperty rl_property_of(LV2_URID urid, const RlUris *uris);

#endif
