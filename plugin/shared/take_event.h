/* SPDX-License-Identifier: ISC */
/* What the audio thread tells of what is played: for takes, and for the tally of a chorus. */
#ifndef RL_PLUGIN_SHARED_TAKE_EVENT_H
#define RL_PLUGIN_SHARED_TAKE_EVENT_H

#include <stdbool.h>
#include <stdint.h>

/** What is told. */
typedef enum {
  RL_TAKE_BEGINS, /**< armed: forget what was before */
  RL_TAKE_MIDI,   /**< a message that came in, or one made of a note that was heard */
  RL_TAKE_PAUSES, /**< the music stood still or went elsewhere: one take is over, another may come
                   */
  RL_TAKE_ENDS,
  RL_TAKE_DISARMED, /**< disarmed before there was a note */
  RL_TAKE_STRETCH,  /**< a chorus is over, or what of it was played without a break */
  RL_TAKE_LAST      /**< what was just played is to be a take */
} RlTakeEventKind;

/** Where messages come from: the port `capture_from`. */
typedef enum { RL_FROM_MIDI, RL_FROM_HARP, RL_FROM_TRACK } RlTakeSource;

/** One event. A thousand of them in one block go through the ring. */
typedef struct {
  double at; /**< quarters along the song, as rl_form_quarters(); with RL_FROM_TRACK frames since
                  the plugin's first, and `from` likewise */
  union {
    double to;   /**< where the music is now, when it is elsewhere */
    double from; /**< RL_TAKE_STRETCH, RL_TAKE_LAST: where the stretch began */
  };
  float early; /**< quarters: notes that began so little before `at` and still sound are meant for
                    what comes at `to`; 0: none is */
  float    tempo;   /**< quarters a minute */
  float    cents;   /**< of a note heard that ends: how far off it was, the mean */
  uint16_t lost;    /**< when a take is over: messages that could not be passed on */
  uint16_t stretch; /**< in which one it was played: another number after every break */
  uint8_t  kind;    /**< RlTakeEventKind */
  uint8_t  bytes[3];
  uint8_t  hole, technique; /**< of a note heard */
  uint8_t  source;          /**< RlTakeSource; of RL_TAKE_LAST the one to be kept */
  bool     aside;           /**< it belongs to no take, and is only remembered */
  bool     four_bars;       /**< RL_TAKE_LAST: four bars, else as many as a chorus has */
  bool     grows;           /**< RL_TAKE_STRETCH: `show_grows` is on, */
  uint8_t  show_set;        /**< `show` at this, */
  uint8_t  show;            /**< and so much was shown: an RlShow */
} RlTakeEvent;

#endif
