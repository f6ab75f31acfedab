/* SPDX-License-Identifier: ISC */
/* Who is connected: so that no single address takes all the room, and nobody stays who does not
   ask. One thread. */
#ifndef RL_UI_PAGE_CLIENTS_H
#define RL_UI_PAGE_CLIENTS_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/socket.h>

enum {
  RL_CLIENTS_MAX         = 400, /**< connections at once */
  RL_CLIENTS_ADDRESS_MAX = 24,  /**< from one address of the network; this machine's own are free */
  RL_CLIENTS_PATIENCE    = 10   /**< seconds until a connection must have asked for something */
};

typedef struct {
  int      socket; /**< -1: free */
  uint32_t from;   /**< IPv4, as in a packet; 0: this machine, or not known */
  double   since;
  bool     asked;
} RlClient;

typedef struct {
  int      count;
  RlClient guest[RL_CLIENTS_MAX];
} RlClients;

/** Where a connection comes from, as in RlClient. */
uint32_t rl_clients_address(const struct sockaddr *address);

void rl_clients_init(RlClients *guests);

/** Is there room for one more from there? */
bool rl_clients_room(const RlClients *guests, uint32_t from);

/** Takes one in, and sets its socket for small answers at once and no long past; NULL if there is
 * no room. */
RlClient *rl_clients_enter(RlClients *guests, int socket, uint32_t from, double now);

void rl_clients_leave(RlClients *guests, RlClient *guest);

/** Shuts the sockets of those who have not asked for anything in time. Returns how many. */
int rl_clients_sweep(RlClients *guests, double now);

#endif
