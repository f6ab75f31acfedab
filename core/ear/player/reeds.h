/* SPDX-License-Identifier: ISC */
/* What one harp can sound, as the ear looks for it: each pitch, the holes that sound together, and
   the lines of the spectrum where their partials lie. Made once for a harp; read only afterwards.
 */
#ifndef RL_CORE_EAR_PLAYER_REEDS_H
#define RL_CORE_EAR_PLAYER_REEDS_H

#include "core/harmony/harp.h"

enum {
  RL_REED_NOTES    = 64,
  RL_REED_STATES   = 176,
  RL_REED_LINES    = 224,
  RL_REED_PARTIALS = 6,
  RL_REED_TOGETHER = 3,
  RL_REED_LAGS     = 704 /**< lags looked at, in samples */
};

/** What sounds: one hole, natural or bent (overblows too); two neighbours; two with two or three
   holes blocked by the tongue; three neighbours. */
typedef enum {
  RL_STATE_NATURAL,
  RL_STATE_BENT,
  RL_STATE_NEIGHBOURS,
  RL_STATE_SPLIT,
  RL_STATE_THREE,
  RL_STATE_KINDS
} RlStateKind;

typedef struct {
  uint8_t hole, technique, midi;
  int8_t  same; /**< the first note of this pitch: 2 draw and 3 blow are one to the ear */
  int8_t  reed; /**< the natural note that is bent to this one, itself if natural; -1: overblown */
  float   hz, lag;
  int16_t low, high;              /**< lags within a quarter tone */
  int16_t line[RL_REED_PARTIALS]; /**< of its partials; -1 above the highest line */
  uint8_t window; /**< of tape.h, from RL_SHORTEST: the first that holds three periods */
} RlReedNote;

typedef struct {
  uint8_t  note[RL_REED_TOGETHER]; /**< from the lowest hole up */
  uint8_t  count, kind;
  uint64_t own;       /**< its notes */
  uint64_t pitches;   /**< the same, the first note of each pitch */
  uint64_t explained; /**< notes whose fundamental lies on one of its partials */
  float    common;    /**< a lag that is a period of all its notes, nearly; 0 if there is none */
} RlReedState;

typedef struct {
  int         notes, states, lines, lags, pitches;
  RlReedNote  note[RL_REED_NOTES];
  RlReedState state[RL_REED_STATES];
  float       line_hz[RL_REED_LINES];
} RlReeds;

/** `player`: which bends and overblows may be looked for. `rate`: samples a second of the sound. */
void rl_reeds_init(RlReeds *reeds, const RlHarp *harp, RlPlayer player, float rate);

#endif
