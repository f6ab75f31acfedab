/* SPDX-License-Identifier: ISC */
/* Names of other machines, looked up in the background: the system may take half a minute over one,
   and nothing may wait for that, not even the end of the plugin. */
#ifndef RL_PLUGIN_OSC_LOOKUP_H
#define RL_PLUGIN_OSC_LOOKUP_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/socket.h>

enum { RL_LOOKUPS_MAX = 64 /**< in all instances; past that, later */ };

/** Where to send. */
typedef struct {
  struct sockaddr_storage at;
  socklen_t               size;
} RlAddress;

typedef struct RlLookup RlLookup;

/** The address of a host given in numbers: at once. False if it is none. Any thread. */
bool rl_lookup_number(const char *host, uint16_t port, RlAddress *address);

/** Begins to look up a name; NULL if too many are being looked up already, or, and then `*why` is
    ENOMEM, without memory or another thread. Where a name has addresses of both kinds it is the
    IPv4 one: few programs listen on the other. Any thread. */
RlLookup *rl_lookup_begin(const char *host, uint16_t port, int *why);

/** Is it finished? Then `*error` is 0 and `*address` says where, or it is an EAI_ of getaddrinfo().
 */
bool rl_lookup_done(const RlLookup *lookup, RlAddress *address, int *error);

/** Lets go of it, finished or not; NULL is legal. Never waits. */
void rl_lookup_end(RlLookup *lookup);

#endif
