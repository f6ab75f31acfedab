/* SPDX-License-Identifier: ISC */
/* What somebody wants to listen to: the text of urn:reedlamp:hear_take. Its first line says what,
   and of which title; then come how fast and, for tunes that do not say, the tempo; then the tune
   in ABC, by which alone it is played:

     play: Take 2             stop:
     speed: 3/4
     tempo: 132

     X:1
     T:Take 2
     …

   `record: Take 2` plays the seconds that the take was lifted from, and needs no tune; `both:`
   plays one after the other.

   `speed:` is 1, 3/4 or 1/2, and 1 where it is not said; `tempo:` in whole quarter notes a minute,
   20 to 400. Any thread. */
#ifndef RL_PLUGIN_PROTOCOL_HEAR_TAKE_H
#define RL_PLUGIN_PROTOCOL_HEAR_TAKE_H

#include "core/text/text.h"

#include <stdbool.h>

/** What is to be heard. */
typedef enum {
  RL_HEAR_PLAY,   /**< the tune, by the built-in voice */
  RL_HEAR_RECORD, /**< what the take of that title was lifted from */
  RL_HEAR_BOTH,   /**< the tune, then the record */
  RL_HEAR_STOP,   /**< nothing any more */
  RL_HEAR_VERBS
} RlHearVerb;

/** How fast. */
typedef enum { RL_SPEED_FULL, RL_SPEED_THREE_QUARTERS, RL_SPEED_HALF, RL_SPEEDS } RlSpeed;

/** As a factor: 1, 0.75, 0.5; as it is written. */
double      rl_speed_factor(RlSpeed speed);
const char *rl_speed_name(RlSpeed speed);

typedef struct {
  RlHearVerb verb;
  RlSlice    title; /**< may be empty */
  RlSpeed    speed;
  int        tempo; /**< quarter notes a minute; 0: not said */
  RlSlice    tune;  /**< from `X:` on; empty: none */
  int        line;  /**< on which it begins, from 1 */
} RlHearTake;

/** Reads such a text; the slices are within it. False if it is none: then `line` is the line that
   is wrong, and `why` says how to write it. */
bool rl_hear_take_read(RlSlice text, RlHearTake *take, const char **why);

/** Appends it as a text that reads back as the same. */
void rl_hear_take_write(const RlHearTake *take, RlText *text);

#endif
