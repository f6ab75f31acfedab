/* SPDX-License-Identifier: ISC */
#include "ui/page/clients.h"

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <string.h>

enum { SOCKET_BUFFER = 16384 /* a reader that stopped reading is not sent a long past */ };

uint32_t
rl_clients_address(const struct sockaddr *const address)
{
  if (!address || address->sa_family != AF_INET) {
    return 0;
  }
  struct sockaddr_in in;
  memcpy(&in, address, sizeof(in));
  return ntohl(in.sin_addr.s_addr) >> 24 == 127 ? 0 : in.sin_addr.s_addr;
}

void
rl_clients_init(RlClients *const g)
{
  g->count = 0;
  for (int i = 0; i < RL_CLIENTS_MAX; ++i) {
    g->guest[i].socket = -1;
  }
}

bool
rl_clients_room(const RlClients *const g, const uint32_t from)
{
  int same = 0;
  for (int i = 0; from && i < RL_CLIENTS_MAX; ++i) {
    same += g->guest[i].socket >= 0 && g->guest[i].from == from;
  }
  return g->count < RL_CLIENTS_MAX && same < RL_CLIENTS_ADDRESS_MAX;
}

RlClient *
rl_clients_enter(RlClients *const g, const int socket, const uint32_t from, const double now)
{
  const int buffer = SOCKET_BUFFER;
  const int yes    = 1;
  setsockopt(socket, SOL_SOCKET, SO_SNDBUF, &buffer, sizeof(buffer));
  setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  for (int i = 0; i < RL_CLIENTS_MAX; ++i) {
    if (g->guest[i].socket < 0) {
      g->guest[i] = (RlClient){socket, from, now, false};
      ++g->count;
      return &g->guest[i];
    }
  }
  return NULL;
}

void
rl_clients_leave(RlClients *const g, RlClient *const guest)
{
  guest->socket = -1;
  --g->count;
}

int
rl_clients_sweep(RlClients *const g, const double now)
{
  int shut = 0;
  for (int i = 0; i < RL_CLIENTS_MAX; ++i) {
    RlClient *const guest = &g->guest[i];
    if (guest->socket >= 0 && !guest->asked && now - guest->since > RL_CLIENTS_PATIENCE) {
      shutdown(guest->socket, SHUT_RDWR); /* its owner sees the end of it, and leaves */
      guest->asked = true;
      ++shut;
    }
  }
  return shut;
}
