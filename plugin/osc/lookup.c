/* SPDX-License-Identifier: ISC */
#include "plugin/osc/lookup.h"

#include <errno.h>
#include <netdb.h>
#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct RlLookup {
  atomic_int  holders; /* the thread, and whoever asked */
  atomic_bool done;
  int         error;
  uint16_t    port;
  RlAddress   address;
  char        host[]; /* NUL-terminated */
};

static atomic_int running;

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
let_go(RlLookup *const lookup)
{
  if (atomic_fetch_sub(&lookup->holders, 1) == 1) {
    free(lookup);
  }
}

static void *
look(void *const data)
{
  RlLookup *const l = (RlLookup *)data;
  l->error          = find(l->host, l->port, 0, &l->address);
  atomic_store(&l->done, true);
  let_go(l);
  atomic_fetch_sub(&running, 1);
  return NULL;
}

/* The host's signals are none of this thread's business. */
static bool
thread_start(RlLookup *const lookup)
{
  pthread_attr_t attributes;
  pthread_t      thread;
  sigset_t       all, before;
  sigfillset(&all);
  pthread_attr_init(&attributes);
  pthread_attr_setdetachstate(&attributes, PTHREAD_CREATE_DETACHED);
  pthread_sigmask(SIG_SETMASK, &all, &before);
  const int error = pthread_create(&thread, &attributes, look, lookup);
  pthread_sigmask(SIG_SETMASK, &before, NULL);
  pthread_attr_destroy(&attributes);
  return !error;
}

RlLookup *
rl_lookup_begin(const char *const host, const uint16_t port, int *const why)
{
  const size_t    length = strlen(host);
  const bool      may    = atomic_fetch_add(&running, 1) < RL_LOOKUPS_MAX;
  RlLookup *const lookup = may ? (RlLookup *)calloc(1, sizeof(RlLookup) + length + 1) : NULL;
  *why                   = may && !lookup ? ENOMEM : 0;
  if (lookup) {
    atomic_store(&lookup->holders, 2);
    lookup->port = port;
    memcpy(lookup->host, host, length + 1);
    *why = thread_start(lookup) ? 0 : ENOMEM; /* what a thread needs of memory, mostly */
  }
  if (lookup && !*why) {
    return lookup;
  }
  free(lookup);
  atomic_fetch_sub(&running, 1);
  return NULL;
}

bool
rl_lookup_done(const RlLookup *const lookup, RlAddress *const address, int *const error)
{
  if (!atomic_load(&lookup->done)) {
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
    let_go(lookup);
  }
}
