/* SPDX-License-Identifier: ISC */
#include "plugin/osc/lookup.h"

#include "plugin/thread/background.h"

#include <errno.h>
#include <netdb.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Looks up in the background; `background` is of who began it. */
struct RlLookup {
  RlBackground *background;
  int           error;
  uint16_t      port;
  RlAddress     address;
  char          host[]; /* NUL-terminated */
};

/* `found` is not NULL: without an error there is at least one. */
static void
address_choose(const struct addrinfo *const found, RlAddress *const address)
{
  const struct addrinfo *best = found;
  for (const struct addrinfo *i = found; i; i = i->ai_next) {
    best = best->ai_family != AF_INET && i->ai_family == AF_INET ? i : best;
  }
  memcpy(&address->at, best->ai_addr, best->ai_addrlen);
  address->size = best->ai_addrlen;
}

/* 0, or an EAI_ of getaddrinfo(). */
static int
find(const char *const host, const uint16_t port, const int flags, RlAddress *const address)
{
  const struct addrinfo hints = {
    .ai_family = AF_UNSPEC, .ai_socktype = SOCK_DGRAM, .ai_flags = AI_NUMERICSERV | flags};
  struct addrinfo *found = NULL;
  char             service[8];
  snprintf(service, sizeof(service), "%u", (unsigned)port);
  const int error = getaddrinfo(host, service, &hints, &found);
  if (!error && found) {
    address_choose(found, address);
    freeaddrinfo(found);
  }
  return error;
}

bool
rl_lookup_number(const char *const host, const uint16_t port, RlAddress *const address)
{
  return !find(host, port, AI_NUMERICHOST, address);
}

static void
look(void *const data, const RlBackground *const background)
{
  RlLookup *const l = (RlLookup *)data;
  (void)background;
  l->error = find(l->host, l->port, 0, &l->address);
}

RlLookup *
rl_lookup_begin(const char *const host, const uint16_t port, int *const why)
{
  const size_t    length = strlen(host);
  RlLookup *const lookup = (RlLookup *)calloc(1, sizeof(RlLookup) + length + 1);
  if (!lookup) {
    *why = ENOMEM;
    return NULL;
  }
  lookup->port = port;
  memcpy(lookup->host, host, length + 1);
  RlBackground *const background = rl_background_begin(RL_LOOKUPS_MAX, look, free, lookup);
  if (!background) {
    *why = errno == EAGAIN ? 0 : ENOMEM;
    free(lookup);
    return NULL;
  }
  lookup->background = background;
  *why               = 0;
  return lookup;
}

bool
rl_lookup_done(const RlLookup *const lookup, RlAddress *const address, int *const error)
{
  if (!rl_background_done(lookup->background)) {
    return false;
  }
  *address = lookup->address;
  *error   = lookup->error;
  return true;
}

void
rl_lookup_end(RlLookup *const lookup)
{
  if (lookup) {
    rl_background_end(lookup->background);
  }
}
