/* SPDX-License-Identifier: ISC */
/* What the audio thread asks of the document, through the ring. */
#ifndef RL_PLUGIN_SHARED_REQUEST_H
#define RL_PLUGIN_SHARED_REQUEST_H

#include <stdint.h>

/** What the audio thread asks for: a head, then `size` bytes of body. */
typedef enum {
  RL_ASK_PROPERTY, /**< body: the new text of `property`, no NUL */
  RL_ASK_LOST,     /**< `property` came while the ring had no room for it */
  RL_ASK_REFUSE,   /**< `property` came in a form that cannot be used; `size` bytes of text were
                      offered */
  RL_ASK_HAND,     /**< body: RlHand */
  RL_ASK_BAR_ONE,  /**< body: RlBarOne */
  RL_ASK_TAKE,     /**< body: RlTakeEvent */
  RL_ASK_FREE      /**< body: RlSnapshot *, no longer used */
} RlAsk;

typedef struct {
  uint32_t ask, property, size;
  uint32_t
    session; /**< RlSnapshot.bar_one_version when it was asked: an older one is out of date */
} RlAskHead;

#endif
