/* SPDX-License-Identifier: ISC */
/* Connected clients, counted by address: no single address may use up all connections, and one that
   asks for nothing is closed. One thread. */
#ifndef RL_UI_PAGE_CLIENTS_H
#define RL_UI_PAGE_CLIENTS_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/socket.h>

enum {
  RL_CLIENTS_MAX             = 400, /**< connections at once */
  RL_CLIENTS_ADDRESS_MAX     = 24,  /**< of them from one address; this machine's are not counted */
  RL_CLIENTS_REQUEST_TIMEOUT = 10   /**< seconds from connecting to the first request */
};

typedef struct {
  int      socket;  /**< -1: this entry is free */
  uint32_t address; /**< IPv4, in network byte order; 0: this machine, or unknown */
  double   opened;  /**< seconds on the monotonic clock */
  bool     requested;
} RlClient;

typedef struct {
  int      count;
  RlClient client[RL_CLIENTS_MAX];
} RlClients;

/** Where a connection comes from, as in RlClient. NULL: unknown. */
uint32_t rl_clients_address(const struct sockaddr *address);

void rl_clients_init(RlClients *clients);

/** Is one more connection from there allowed? */
bool rl_clients_allow(const RlClients *clients, uint32_t address);

/** Adds a connection and sets its socket to send small answers at once (TCP_NODELAY) from a small
    buffer; NULL if all entries are taken. */
RlClient *rl_clients_add(RlClients *clients, int socket, uint32_t address, double now);

void rl_clients_remove(RlClients *clients, RlClient *client);

/** Shuts the sockets of those who have not asked for anything in time; their owner still removes
    them. Returns how many. */
int rl_clients_close_idle(RlClients *clients, double now);

#endif
