/* SPDX-License-Identifier: ISC */
/* Hears the player: which of this harp's notes sound, up to three at once, how far off and how
   sure, 188 times a second. Sound in, what is heard out. All of it lies in memory of the caller,
   who calls from one thread at a time; nothing here allocates, waits or locks: real-time safe.
   Measured on rendered sound only (tests/ear/hear/README.md).

   Block lag products give the autocorrelation in any window (McLeod, Wyvill 2005, normalise it so);
   cancelling combs take several notes apart (de Cheveigne 1993); a small net weighs what is left.
   The reeds that may sound: core/harmony/harp.h. */
#ifndef RL_CORE_EAR_PLAYER_REED_EAR_H
#define RL_CORE_EAR_PLAYER_REED_EAR_H

#include "core/ear/player/net.h"
#include "core/ear/resampler.h"

#include <stdbool.h>

/** One note that sounds. */
typedef struct {
  uint8_t hole, technique, midi; /**< hole from 1; RlTechnique */
  float   cents;                 /**< off A = 440 Hz, equal temperament */
} RlPlayedNote;

/** What is heard. */
typedef struct {
  uint64_t     frame;                  /**< of the sound taken so far: what it is about */
  uint64_t     since;                  /**< frame where this began */
  int          count;                  /**< 0: nothing sounds */
  RlPlayedNote note[RL_REED_TOGETHER]; /**< from the lowest hole up */
  float        level;                  /**< dB full scale */
  float        sure;                   /**< 0..1 */
} RlPlayed;

/** Opaque but for size: about 400 KiB. */
typedef struct {
  RlResampler        resampler;
  RlReeds            reeds;
  RlTape             tape;
  RlLines            lines;
  RlBeats            beats;
  RlBackground       background;
  RlHarpTuning       tuning;
  RlReedMemory       memory;
  RlCandidates       candidates;
  RlCandidateFigures figures[RL_CANDIDATES];
  RlMomentFigures    moment;
  const RlNet       *net;
  float              score[RL_CANDIDATES + 1];   /* the last is "nothing" */
  float              anew[RL_REED_STATES + 4];   /* where belief comes anew */
  float              belief[RL_REED_STATES + 4]; /* behind the states "nothing"; then zeros */
  float              reference;                  /* dB full scale of the player's usual level */
  int                breath;                     /* RL_BLOW or RL_DRAW heard last, -1 */
  int                state;                      /* believed; reeds.states is "nothing" */
  bool               rested;                     /* the last block was only followed */
  float              alike;    /* how alike the newest block was to what came a period before */
  bool               thorough; /* every block is looked at: for learning */
  uint64_t           frame;
  RlPlayed           played;
} RlReedEar;

/** `player`: which bends and overblows may be heard. `rate`: 22050 to 192000. The harp is not kept.
 */
void rl_reed_ear_init(RlReedEar *ear, const RlHarp *harp, RlPlayer player, double rate);

/** Another harp in the same hand: the level is kept. */
void rl_reed_ear_change(RlReedEar *ear, const RlHarp *harp, RlPlayer player);

/** Takes `frames` of mono sound (any floats) and stops behind the first block that is full. Returns
   how many it took; *fresh is true if ear->played is new. */
uint32_t rl_reed_ear_hear(RlReedEar *ear, const float *sound, uint32_t frames, bool *fresh);

#endif
