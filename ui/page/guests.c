#include "guests.h"

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <string.h>

enum { SOCKET_BUFFER = 16384 /* a reader that stopped reading is not sent a long past */ };

uint32_t
rl_guests_address(const struct sockaddr *const address)
{
  if (!address || address->sa_family != AF_INET) {
    return 0;
  }
  struct sockaddr_in in;
  memcpy(&in, address, sizeof(in));
  return ntohl(in.sin_addr.s_addr) >> 24 == 127 ? 0 : in.sin_addr.s_addr;
}

void
rl_guests_init(RlGuests *const g)
{
  g->count = 0;
  for (int i = 0; i < RL_GUESTS_MAX; ++i) {
    g->guest[i].socket = -1;
  }
}

bool
rl_guests_room(const RlGuests *const g, const uint32_t from)
{
  int same = 0;
  for (int i = 0; from && i < RL_GUESTS_MAX; ++i) {
    same += g->guest[i].socket >= 0 && g->guest[i].from == from;
  }
  return g->count < RL_GUESTS_MAX && same < RL_GUESTS_ADDRESS_MAX;
}

RlGuest *
rl_guests_enter(RlGuests *const g, const int socket, const uint32_t from, const double now)
{
  const int buffer = SOCKET_BUFFER;
  const int yes    = 1;
  setsockopt(socket, SOL_SOCKET, SO_SNDBUF, &buffer, sizeof(buffer));
  setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  for (int i = 0; i < RL_GUESTS_MAX; ++i) {
    if (g->guest[i].socket < 0) {
      g->guest[i] = (RlGuest){socket, from, now, false};
      ++g->count;
      return &g->guest[i];
    }
  }
  return NULL;
}

void
rl_guests_leave(RlGuests *const g, RlGuest *const guest)
{
  guest->socket = -1;
  --g->count;
}

int
rl_guests_sweep(RlGuests *const g, const double now)
{
  int shut = 0;
  for (int i = 0; i < RL_GUESTS_MAX; ++i) {
    RlGuest *const guest = &g->guest[i];
    if (guest->socket >= 0 && !guest->asked && now - guest->since > RL_GUESTS_PATIENCE) {
      shutdown(guest->socket, SHUT_RDWR); /* its owner sees the end of it, and leaves */
      guest->asked = true;
      ++shut;
    }
  }
  return shut;
}
