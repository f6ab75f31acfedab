/* SPDX-License-Identifier: ISC */
#include "ui/page/clients.h"

#include <assert.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <string.h>

enum { SOCKET_BUFFER = 16384 /* bytes; small, so that a slow reader does not get old states */ };

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
rl_clients_init(RlClients *const clients)
{
  clients->count = 0;
  for (int i = 0; i < RL_CLIENTS_MAX; ++i) {
    clients->client[i].socket = -1;
  }
}

bool
rl_clients_allow(const RlClients *const clients, const uint32_t address)
{
  int same = 0;
  for (int i = 0; address && i < RL_CLIENTS_MAX; ++i) {
    same += clients->client[i].socket >= 0 && clients->client[i].address == address;
  }
  return clients->count < RL_CLIENTS_MAX && same < RL_CLIENTS_ADDRESS_MAX;
}

RlClient *
rl_clients_add(RlClients *const clients, const int socket, const uint32_t address, const double now)
{
  const int buffer = SOCKET_BUFFER;
  const int yes    = 1;
  setsockopt(socket, SOL_SOCKET, SO_SNDBUF, &buffer, sizeof(buffer));
  setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  for (int i = 0; i < RL_CLIENTS_MAX; ++i) {
    if (clients->client[i].socket < 0) {
      clients->client[i] = (RlClient){socket, address, now, false};
      ++clients->count;
      return &clients->client[i];
    }
  }
  return NULL;
}

void
rl_clients_remove(RlClients *const clients, RlClient *const client)
{
  assert(client->socket >= 0 && clients->count > 0);
  client->socket = -1;
  --clients->count;
}

int
rl_clients_close_idle(RlClients *const clients, const double now)
{
  int shut = 0;
  for (int i = 0; i < RL_CLIENTS_MAX; ++i) {
    RlClient *const client = &clients->client[i];
    if (client->socket >= 0 && !client->requested &&
        now - client->opened > RL_CLIENTS_REQUEST_TIMEOUT) {
      shutdown(client->socket, SHUT_RDWR); /* libmicrohttpd then sees it end, and removes it */
      client->requested = true;
      ++shut;
    }
  }
  return shut;
}
