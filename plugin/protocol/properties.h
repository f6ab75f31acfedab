/* SPDX-License-Identifier: ISC */
/* The text properties, as plugin and window know them. */
#ifndef RL_PLUGIN_PROTOCOL_PROPERTIES_H
#define RL_PLUGIN_PROTOCOL_PROPERTIES_H

/** The text properties, in the order they are told. */
typedef enum {
  RL_CHART,
  RL_CHART_FILE,
  RL_PLAN,
  RL_TAKE,
  RL_OSC_TO,
  RL_PROBLEM,
  RL_PROPERTIES
} RlProperty;

#endif
