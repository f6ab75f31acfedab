/* SPDX-License-Identifier: ISC */
/* Addresses of osc_to as text: `host:port`, several with spaces between. One rule for the document,
   which says what is wrong, and the receivers, which are sent to. No state; any thread. */
#ifndef RL_PLUGIN_SHARED_ADDRESS_H
#define RL_PLUGIN_SHARED_ADDRESS_H

#include "core/text/text.h"

#include <stdbool.h>

/** Takes the next word off a list; empty when there is none left. */
RlSlice rl_address_next(RlSlice *list);

/** Reads `host:port`, the port 1 to 65535; a host with colons of its own stands in brackets, which
    are not part of it. False if it is no address. */
bool rl_address_read(RlSlice word, RlSlice *host, uint16_t *port);

#endif
