/* SPDX-License-Identifier: ISC */
/* What the audio thread tells the transcriber of a take. */
#ifndef RL_PLUGIN_SHARED_TAKE_EVENT_H
#define RL_PLUGIN_SHARED_TAKE_EVENT_H

#include <stdint.h>

/** What is told. */
typedef enum {
  RL_TAKE_BEGINS, /**< armed: forget what was before */
  RL_TAKE_MIDI,
  RL_TAKE_PAUSES, /**< the music stood still or went elsewhere: one take is over, another may come
                   */
  RL_TAKE_ENDS,
  RL_TAKE_DISARMED /**< disarmed before there was a note */
} RlTakeEventKind;

/** One event. */
typedef struct {
  double at;    /**< quarters along the song, as rl_form_quarters() */
  double to;    /**< where the music is now, when it is elsewhere */
  float  early; /**< quarters: notes that began so little before `at` and still sound are meant for
                     what comes at `to`; 0: none is */
  float    tempo; /**< quarters a minute */
  uint16_t lost;  /**< when a take is over: messages that could not be passed on */
  uint8_t  kind;  /**< RlTakeEventKind */
  uint8_t  bytes[3];
} RlTakeEvent;

#endif
