/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* multicast membership */

#include "ui/page/net.h"

#include <arpa/inet.h>
#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <ifaddrs.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

static bool
port_read(const char *const text, in_port_t *const port)
{
  char      *end;
  const long number = strtol(text, &end, 10);
  if (end == text || *end || number < 1 || number > 65535) {
    return false;
  }
  *port = htons((uint16_t)number);
  return true;
}

bool
rl_net_read(const char *const text, struct sockaddr_in *const to)
{
  assert(text && to);
  char              address[RL_NET_TEXT_SIZE];
  const char *const colon  = strchr(text, ':');
  const size_t      length = colon ? (size_t)(colon - text) : strlen(text);
  if (!colon && !strchr(text, '.')) {
    return port_read(text, &to->sin_port);
  }
  if (length >= sizeof(address)) {
    return false;
  }
  memcpy(address, text, length);
  address[length] = '\0';
  return inet_pton(AF_INET, address, &to->sin_addr) == 1 &&
         (!colon || port_read(colon + 1, &to->sin_port));
}

void
rl_net_write(const struct sockaddr_in *const from, char text[RL_NET_TEXT_SIZE])
{
  char address[INET_ADDRSTRLEN] = "?";
  inet_ntop(AF_INET, &from->sin_addr, address, sizeof(address));
  snprintf(text, RL_NET_TEXT_SIZE, "%s:%d", address, ntohs(from->sin_port));
}

/* ---- own addresses ---- */

/* Finds the interface that has the address `wanted`; the first one but loopback where that is NULL.
 */
static bool
interface_find(const struct in_addr *const wanted, struct in_addr *const found)
{
  struct ifaddrs *all  = NULL;
  bool            have = false;
  if (getifaddrs(&all)) {
    return false;
  }
  for (const struct ifaddrs *i = all; i && !have; i = i->ifa_next) {
    struct sockaddr_in in;
    if (!i->ifa_addr || i->ifa_addr->sa_family != AF_INET) {
      continue;
    }
    memcpy(&in, i->ifa_addr, sizeof(in));
    have   = wanted ? in.sin_addr.s_addr == wanted->s_addr
                    : ntohl(in.sin_addr.s_addr) >> 24 != IN_LOOPBACKNET;
    *found = in.sin_addr;
  }
  freeifaddrs(all);
  return have;
}

bool
rl_net_own_address(struct in_addr *const address)
{
  /* connecting a datagram socket sends nothing, but selects the interface; 192.0.2.1 is reserved
     for documentation (RFC 5737) */
  struct sockaddr_in far    = {.sin_family = AF_INET, .sin_port = htons(9)};
  struct sockaddr_in near   = {0};
  socklen_t          length = sizeof(near);
  const int          probe  = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  inet_pton(AF_INET, "192.0.2.1", &far.sin_addr);
  const bool routed = probe >= 0 && !connect(probe, (const struct sockaddr *)&far, sizeof(far)) &&
                      !getsockname(probe, (struct sockaddr *)&near, &length);
  if (probe >= 0) {
    close(probe);
  }
  *address = near.sin_addr;
  return (routed && ntohl(near.sin_addr.s_addr) >> 24 != IN_LOOPBACKNET) ||
         interface_find(NULL, address);
}

bool
rl_net_is_own(const struct in_addr address)
{
  struct in_addr found;
  return ntohl(address.s_addr) >> 24 == IN_LOOPBACKNET || interface_find(&address, &found);
}

/* ---- sockets ---- */

static int
bound(const int kind, const struct sockaddr_in *const at)
{
  const int yes = 1;
  const int s   = socket(AF_INET, kind | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
  if (s < 0) {
    return -1;
  }
  /* with datagrams it would let two programs share a port, each getting some of the packets: only
     multicast groups may be shared */
  if (kind == SOCK_STREAM || IN_MULTICAST(ntohl(at->sin_addr.s_addr))) {
    setsockopt(s, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  }
  if (bind(s, (const struct sockaddr *)at, sizeof(*at))) {
    const int why = errno;
    close(s);
    errno = why;
    return -1;
  }
  return s;
}

int
rl_net_open_tcp(const struct sockaddr_in *const at)
{
  const int s = bound(SOCK_STREAM, at);
  if (s >= 0 && listen(s, SOMAXCONN)) {
    close(s);
    return -1;
  }
  return s;
}

int
rl_net_open_udp(const struct sockaddr_in *const at)
{
  const int            s     = bound(SOCK_DGRAM, at);
  const struct ip_mreq group = {.imr_multiaddr = at->sin_addr};
  if (s >= 0 && IN_MULTICAST(ntohl(at->sin_addr.s_addr)) &&
      setsockopt(s, IPPROTO_IP, IP_ADD_MEMBERSHIP, &group, sizeof(group))) {
    close(s);
    return -1;
  }
  return s;
}
