/* SPDX-License-Identifier: ISC */
/* What the audio thread asks of the document, through the ring. */
#ifndef RL_PLUGIN_SHARED_REQUEST_H
#define RL_PLUGIN_SHARED_REQUEST_H

#include <stdint.h>

/** What the audio thread asks for: a head, then `size` bytes of body. */
typedef enum {
  RL_ASK_PROPERTY, /**< `property` is to be this text; body: the text, no NUL, as long as the table
                      of properties allows */
  RL_ASK_LOST,     /**< `property` came while the ring had no room for it; no body */
  RL_ASK_REFUSE,   /**< `property` came in a form that cannot be used; no body */
  RL_ASK_HAND,     /**< another harp, player or key; body: RlHand */
  RL_ASK_BAR_ONE,  /**< "bar one is now" was said; body: RlBarOne */
  RL_ASK_TAKE,     /**< something of a take; body: RlTakeEvent */
  RL_ASK_FREE,     /**< a snapshot is no longer used; body: RlSnapshot * */
  RL_ASK_FREE_PICTURE /**< a picture is told; body: RlPicture * */
} RlAsk;

/** The head of a request. */
typedef struct {
  uint32_t ask, property, size;
  uint32_t
    session; /**< RlSnapshot.bar_one_version when it was asked: an older one is out of date */
} RlAskHead;

#endif
