/* SPDX-License-Identifier: ISC */
/* The net of pulse.h, made by tests/ear/follow/learn_pulse.py, never by hand. Private to core/ear.
 */
#ifndef RL_CORE_EAR_LEARNED_PULSE_H
#define RL_CORE_EAR_LEARNED_PULSE_H

#include "core/ear/pulse.h"

#include <stdint.h>

enum {
  RL_PULSE_WIDTH  = 16,                 /**< channels; a multiple of four */
  RL_PULSE_INPUTS = 2 * RL_PULSE_BANDS, /**< the bands, and how much they rise */
  RL_PULSE_FIRST  = 3,                  /**< frames that the first layer sees */
  RL_PULSE_TAPS   = 5,                  /**< of each further one, 1, 2, 4 ... 128 frames apart */
  RL_PULSE_LAYERS = 8
};

/** Weights of a layer: a whole number times `scale`, by tap, channel in, channel out. */
typedef struct {
  float  scale[RL_PULSE_WIDTH], plus[RL_PULSE_WIDTH];
  int8_t weight[RL_PULSE_FIRST * RL_PULSE_INPUTS][RL_PULSE_WIDTH];
} RlPulseFirst;

typedef struct {
  float  scale[RL_PULSE_WIDTH], plus[RL_PULSE_WIDTH];
  int8_t weight[RL_PULSE_TAPS * RL_PULSE_WIDTH][RL_PULSE_WIDTH];
} RlPulseSpread;

typedef struct {
  float  scale[RL_PULSE_WIDTH], plus[RL_PULSE_WIDTH];
  int8_t weight[RL_PULSE_WIDTH][RL_PULSE_WIDTH];
} RlPulseMix;

typedef struct {
  RlPulseFirst  first;
  RlPulseSpread spread[RL_PULSE_LAYERS];
  RlPulseMix    mix[RL_PULSE_LAYERS]; /**< added to what went into the layer */
  float         last[RL_PULSE_WORDS][RL_PULSE_WIDTH], last_plus[RL_PULSE_WORDS];
} RlPulseNet;

extern const RlPulseNet rl_learned_pulse;

#endif
