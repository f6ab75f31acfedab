/* SPDX-License-Identifier: ISC */
/* Connected clients, counted by address: no single address may use up all connections. Who takes
   too long to ask or to take an answer is closed. One thread; times are seconds on the monotonic
   clock. */
#ifndef RL_UI_PAGE_CLIENTS_H
#define RL_UI_PAGE_CLIENTS_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/socket.h>

enum {
  RL_CLIENTS_ADDRESS_MAX = 24,     /**< connections from one address; this machine's and the proxy's
                                      are not counted */
  RL_CLIENTS_REQUEST_TIMEOUT = 10, /**< seconds from connecting to a request */
  RL_CLIENTS_REQUEST_HURRY   = 1,  /**< the same while three quarters of all places are taken */
  RL_CLIENTS_ANSWER_TIMEOUT  = 60  /**< seconds for taking an answer that is not a stream */
};

typedef struct {
  int      socket;  /**< -1: this entry is free */
  uint32_t address; /**< IPv4, in network byte order; 0: this machine, the proxy, or unknown */
  double   until;   /**< when it will be closed */
  bool     asked;   /**< has a request come? */
} RlClient;

typedef struct {
  int       count, max;
  uint32_t  proxy;  /**< address of one that speaks for many; 0: none */
  RlClient *client; /**< `max` of them */
} RlClients;

/** Room for `max` connections; false if there is no memory. */
bool rl_clients_init(RlClients *clients, int max, uint32_t proxy);
void rl_clients_end(RlClients *clients);

/** Where a connection comes from, as in RlClient. NULL: unknown. */
uint32_t rl_clients_address(const RlClients *clients, const struct sockaddr *address);

/** Is one more connection from there allowed? */
bool rl_clients_allow(const RlClients *clients, uint32_t address);

/** Adds a connection and sets its socket to send small answers at once (TCP_NODELAY) from a small
    buffer, and to give up on a client that confirms nothing any more; NULL if all entries are
    taken. */
RlClient *rl_clients_add(RlClients *clients, int socket, uint32_t address, double now);

void rl_clients_remove(RlClients *clients, RlClient *client);

/** Shuts the sockets of those whose time is over; their owner still removes them. Returns how many.
 */
int rl_clients_close_late(RlClients *clients, double now);

#endif
