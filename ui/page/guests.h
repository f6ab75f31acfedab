/* Who is connected: so that no single address takes all the room, and nobody stays who does not
   ask. One thread. */
#ifndef RL_GUESTS_H
#define RL_GUESTS_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/socket.h>

enum {
  RL_GUESTS_MAX         = 400, /**< connections at once */
  RL_GUESTS_ADDRESS_MAX = 24,  /**< from one address of the network; this machine's own are free */
  RL_GUESTS_PATIENCE    = 10   /**< seconds until a connection must have asked for something */
};

typedef struct {
  int      socket; /**< -1: free */
  uint32_t from;   /**< IPv4, as in a packet; 0: this machine, or not known */
  double   since;
  bool     asked;
} RlGuest;

typedef struct {
  int     count;
  RlGuest guest[RL_GUESTS_MAX];
} RlGuests;

/** Where a connection comes from, as in RlGuest. */
uint32_t rl_guests_address(const struct sockaddr *address);

void rl_guests_init(RlGuests *guests);

/** Is there room for one more from there? */
bool rl_guests_room(const RlGuests *guests, uint32_t from);

/** Takes one in, and sets its socket for small answers at once and no long past; NULL if there is
 * no room. */
RlGuest *rl_guests_enter(RlGuests *guests, int socket, uint32_t from, double now);

void rl_guests_leave(RlGuests *guests, RlGuest *guest);

/** Shuts the sockets of those who have not asked for anything in time. Returns how many. */
int rl_guests_sweep(RlGuests *guests, double now);

#endif
