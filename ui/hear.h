/* What the plugin says on `notify`, out of the atoms a host hands over. Anything may be in them:
   every type and size is checked, nothing need be aligned, what makes no sense is left out. No
   state; any thread. */
#ifndef RL_HEAR_H
#define RL_HEAR_H

#include "board.h"

#include "../plugin/uris.h"

typedef enum { RL_HEARD_NOTHING, RL_HEARD_PLACE, RL_HEARD_TEXT } RlHeard;

/** One message. */
typedef struct {
  RlTold      told;   /**< RL_HEARD_PLACE */
  RlBoardText which;  /**< RL_HEARD_TEXT */
  const char *text;   /**< its bytes, inside the atom, without a NUL behind them */
  uint32_t    length; /**< in bytes */
} RlMessage;

/** Reads one atom of `size` bytes in all. */
RlHeard rl_hear(const RlUris *uris, const void *atom, uint32_t size, RlMessage *message);

#endif
