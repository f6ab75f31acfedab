/* SPDX-License-Identifier: ISC */
#include "ui/page/clients.h"

#include <assert.h>
#include <math.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <stdlib.h>
#include <string.h>

enum {
  SOCKET_BUFFER = 16384, /* bytes; small, so that a slow reader does not get old states */
  CONFIRMED     = 15000  /* ms until what was sent must be confirmed, else the client is gone */
};

bool
rl_clients_init(RlClients *const clients, const int max, const uint32_t proxy)
{
  assert(max > 0);
  *clients = (RlClients){
    .max = max, .proxy = proxy, .client = (RlClient *)calloc((size_t)max, sizeof(RlClient))};
  for (int i = 0; clients->client && i < max; ++i) {
    clients->client[i].socket = -1;
  }
  return clients->client != NULL;
}

void
rl_clients_end(RlClients *const clients)
{
  free(clients->client);
  *clients = (RlClients){0};
}

uint32_t
rl_clients_address(const RlClients *const clients, const struct sockaddr *const address)
{
  if (!address || address->sa_family != AF_INET) {
    return 0;
  }
  struct sockaddr_in in;
  memcpy(&in, address, sizeof(in));
  const bool own = ntohl(in.sin_addr.s_addr) >> 24 == IN_LOOPBACKNET;
  return own || in.sin_addr.s_addr == clients->proxy ? 0 : in.sin_addr.s_addr;
}

bool
rl_clients_allow(const RlClients *const clients, const uint32_t address)
{
  int same = 0;
  for (int i = 0; address && i < clients->max; ++i) {
    same += clients->client[i].socket >= 0 && clients->client[i].address == address;
  }
  return clients->count < clients->max && same < RL_CLIENTS_ADDRESS_MAX;
}

static void
socket_set(const int socket)
{
  const int      buffer    = SOCKET_BUFFER;
  const int      yes       = 1;
  const unsigned confirmed = CONFIRMED;
  setsockopt(socket, SOL_SOCKET, SO_SNDBUF, &buffer, sizeof(buffer));
  setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  setsockopt(socket, IPPROTO_TCP, TCP_USER_TIMEOUT, &confirmed, sizeof(confirmed));
}

RlClient *
rl_clients_add(RlClients *const clients, const int socket, const uint32_t address, const double now)
{
  socket_set(socket);
  for (int i = 0; i < clients->max; ++i) {
    if (clients->client[i].socket < 0) {
      clients->client[i] = (RlClient){socket, address, now + RL_CLIENTS_REQUEST_TIMEOUT, false};
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
rl_clients_close_late(RlClients *const clients, const double now)
{
  const double hurry = clients->count > clients->max * 3 / 4
                         ? RL_CLIENTS_REQUEST_TIMEOUT - RL_CLIENTS_REQUEST_HURRY
                         : 0;
  int          shut  = 0;
  for (int i = 0; i < clients->max; ++i) {
    RlClient *const client = &clients->client[i];
    if (client->socket >= 0 && now + (client->asked ? 0 : hurry) > client->until) {
      shutdown(client->socket, SHUT_RDWR); /* libmicrohttpd then sees it end, and removes it */
      client->until = (double)INFINITY;
      ++shut;
    }
  }
  return shut;
}
