/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* IP_RECVERR */
#include "plugin/osc/receivers.h"

#include "plugin/shared/address.h"

#include <errno.h>
#include <netdb.h>
#include <netinet/in.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum {
  LISTED = 3, /* problems that are told in words; more are counted */
  DOUBT  = 3  /* checks; the first may come at once */
};

static const int64_t retry_after = 5000000000; /* nanoseconds */

static int64_t
monotonic(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

/* ---- one receiver ---- */

static void
fail(RlReceiver *const r, const int why)
{
  r->why   = why;
  r->doubt = DOUBT;
}

static void
hang_up(RlReceiver *const r)
{
  if (r->socket >= 0) {
    close(r->socket);
  }
  r->socket = -1;
}

/* Packets that the network card drops, for want of a cable for one, are told too. */
static void
tell_all(const int s, const int family)
{
  static const int on = 1;
#if defined(IP_RECVERR) && defined(IPV6_RECVERR)
  if (family == AF_INET6) {
    setsockopt(s, IPPROTO_IPV6, IPV6_RECVERR, &on, sizeof(on));
  } else {
    setsockopt(s, IPPROTO_IP, IP_RECVERR, &on, sizeof(on));
  }
#else
  (void)s;
  (void)family;
  (void)on;
#endif
}

/* Connected, so that the system tells us what became of the packets. It hears next to nothing: its
   buffer is as small as the system allows, and nobody reads it. */
static void
dial(RlReceiver *const r)
{
  static const int on = 1, small = 1;
  hang_up(r);
  r->socket = socket(r->address.at.ss_family, SOCK_DGRAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
  if (r->socket < 0) {
    fail(r, errno);
    return;
  }
  setsockopt(r->socket, SOL_SOCKET, SO_RCVBUF, &small, sizeof(small));
  setsockopt(r->socket, SOL_SOCKET, SO_BROADCAST, &on, sizeof(on));
  tell_all(r->socket, r->address.at.ss_family);
  if (connect(r->socket, (const struct sockaddr *)&r->address.at, r->address.size)) {
    fail(r, errno);
    hang_up(r);
    return;
  }
  r->behind = true;
}

static void
look_up(RlReceiver *const r)
{
  char   buffer[RL_ADDRESS_SIZE];
  RlText host = rl_text_in(buffer, sizeof(buffer));
  rl_text_add_slice(&host, r->host);
  int why   = 0;
  r->number = rl_lookup_number(host.to, r->port, &r->address);
  r->lookup = r->number ? NULL : rl_lookup_begin(host.to, r->port, &why);
  if (why) {
    r->retry = monotonic() + retry_after;
    fail(r, why);
  }
}

/* What a finished lookup has found comes into force. */
static void
lookup_finish(RlReceiver *const r)
{
  RlAddress found;
  int       error = 0;
  if (!r->lookup || !rl_lookup_done(r->lookup, &found, &error)) {
    return;
  }
  rl_lookup_end(r->lookup);
  r->lookup = NULL;
  r->retry  = monotonic() + retry_after;
  if (error) {
    fail(r, error == EAI_SYSTEM ? EIO : error);
  } else if (r->socket < 0 || found.size != r->address.size ||
             memcmp(&found.at, &r->address.at, found.size) != 0) {
    r->address = found;
    dial(r);
  }
}

/* A name that works is not looked up again; one that does not may have moved. */
static void
try_again(RlReceiver *const r)
{
  const bool works = r->socket >= 0 && !r->why;
  lookup_finish(r);
  if (!works && !r->number && !r->lookup && monotonic() >= r->retry) {
    look_up(r);
  }
  if (r->socket < 0 && r->address.size) {
    dial(r);
  }
}

/* What failed may have been an earlier packet: that is how the system tells of it. */
static void
send_to(RlReceiver *const r, const void *const packet, const size_t size)
{
  if (r->socket < 0 || send(r->socket, packet, size, MSG_NOSIGNAL) >= 0) {
    return;
  }
  fail(r, errno);
  if (send(r->socket, packet, size, MSG_NOSIGNAL) < 0 && errno != ECONNREFUSED && errno != EAGAIN &&
      errno != ENOBUFS) {
    fail(r, errno);
    hang_up(r);
  }
}

static void
leave(RlReceiver *const r)
{
  hang_up(r);
  rl_lookup_end(r->lookup);
  *r = (RlReceiver){.socket = -1};
}

/* ---- the list ---- */

static bool
word_read(const RlSlice word, RlReceiver *const r)
{
  *r = (RlReceiver){.word = word, .socket = -1};
  return rl_address_read(word, &r->host, &r->port);
}

static bool
same(const RlSlice a, const RlSlice b)
{
  return a.length == b.length && !memcmp(a.at, b.at, a.length);
}

/* The receiver of that word, NULL if there is none. */
static RlReceiver *
receiver_of(RlReceivers *const rs, const RlSlice word)
{
  for (int i = 0; i < rs->count; ++i) {
    if (same(rs->at[i].word, word)) {
      return &rs->at[i];
    }
  }
  return NULL;
}

/* The words now stand in the new list; what is known of the receiver stays. */
static void
stay(RlReceiver *const old, const RlReceiver *const now)
{
  old->word    = now->word;
  old->host    = now->host;
  old->leaving = false;
}

static int
free_place(RlReceivers *const rs)
{
  for (int i = 0; i < rs->count; ++i) { /* whoever leaves makes room */
    if (rs->at[i].leaving && rs->count == RL_RECEIVERS_MAX) {
      leave(&rs->at[i]);
      return i;
    }
  }
  return rs->count < RL_RECEIVERS_MAX ? rs->count++ : -1;
}

void
rl_receivers_set(RlReceivers *const rs, const RlSlice list)
{
  RlReceiver now;
  rs->which    = !rs->which;
  RlText text  = rl_text_in(rs->list[rs->which], RL_ADDRESS_SIZE);
  rs->too_many = false;
  rl_text_add_slice(&text, list);
  for (int i = 0; i < rs->count; ++i) {
    rs->at[i].leaving = true;
  }
  RlSlice rest = {text.to, text.used};
  for (RlSlice word = rl_address_next(&rest); word.length; word = rl_address_next(&rest)) {
    if (!word_read(word, &now)) {
      continue;
    }
    RlReceiver *const old = receiver_of(rs, word);
    const int         at  = old ? -1 : free_place(rs);
    if (old) {
      stay(old, &now);
    } else if (at >= 0) {
      rs->at[at] = now;
    }
    rs->too_many = rs->too_many || (!old && at < 0);
  }
}

void
rl_receivers_part(RlReceivers *const rs)
{
  int kept = 0;
  for (int i = 0; i < rs->count; ++i) {
    if (rs->at[i].leaving) {
      leave(&rs->at[i]);
    } else {
      rs->at[kept++] = rs->at[i];
    }
  }
  rs->count = kept;
}

void
rl_receivers_close(RlReceivers *const rs)
{
  for (int i = 0; i < rs->count; ++i) {
    leave(&rs->at[i]);
  }
  rs->count    = 0;
  rs->too_many = false;
}

/* ---- all of them ---- */

void
rl_receivers_try(RlReceivers *const rs)
{
  for (int i = 0; i < rs->count; ++i) {
    if (!rs->at[i].leaving) {
      try_again(&rs->at[i]);
    }
  }
}

void
rl_receivers_check(RlReceivers *const rs)
{
  for (int i = 0; i < rs->count; ++i) {
    RlReceiver *const r    = &rs->at[i];
    int               late = 0; /* an error that the system has not told yet */
    socklen_t         size = sizeof(late);
    if (r->socket >= 0 && !getsockopt(r->socket, SOL_SOCKET, SO_ERROR, &late, &size) && late) {
      fail(r, late);
    }
    r->doubt -= r->doubt > 0;
    if (!r->doubt && r->socket >= 0) {
      r->why = 0;
    }
  }
}

static bool
is(const RlReceiver *const r, const RlWho who)
{
  return r->leaving == (who == RL_RECEIVERS_LEAVING) && r->socket >= 0 &&
         (who == RL_RECEIVERS_ALL || who == RL_RECEIVERS_LEAVING ||
          r->behind == (who == RL_RECEIVERS_BEHIND));
}

bool
rl_receivers_any(const RlReceivers *const rs, const RlWho who)
{
  for (int i = 0; i < rs->count; ++i) {
    if (is(&rs->at[i], who)) {
      return true;
    }
  }
  return false;
}

void
rl_receivers_send(RlReceivers *const rs, const RlWho who, const void *const packet,
                  const size_t size)
{
  for (int i = 0; i < rs->count; ++i) {
    if (is(&rs->at[i], who)) {
      send_to(&rs->at[i], packet, size);
    }
  }
}

void
rl_receivers_told(RlReceivers *const rs, const bool whole)
{
  for (int i = 0; i < rs->count; ++i) {
    rs->at[i].behind = !whole || (rs->at[i].behind && rs->at[i].socket < 0);
  }
}

/* ---- in words ---- */

/* `other` for what is not in the table. */
static const char *
reason(const int why, char *const other, const size_t room)
{
  static const struct {
    int         why;
    const char *words;
  } reasons[] = {
    {ECONNREFUSED, "nothing is listening there; start reedlamp-page, or switch phones off"},
    {ENETUNREACH, "cannot be reached; is the network up?"},
    {EHOSTUNREACH, "cannot be reached; is the network up, and that machine on?"},
    {ENETDOWN, "cannot be reached; is the network up?"},
    {EACCES, "not allowed to send there"},
    {EPERM, "not allowed to send there; a firewall?"},
    {EAGAIN, "the network is too busy"},
    {ENOBUFS, "nothing can be sent; is the network up?"},
    {ENOMEM, "not enough memory to look it up; close another program"},
    {EMFILE, "too many files are open in this program"},
    {EAI_NONAME, "no such host name; check it, or write the address in numbers"},
    {EAI_AGAIN, "the name cannot be looked up now; is the network up?"},
  };
  for (size_t i = 0; i < sizeof(reasons) / sizeof(reasons[0]); ++i) {
    if (reasons[i].why == why) {
      return reasons[i].words;
    }
  }
  if (why < 0) {
    return gai_strerror(why);
  }
  return strerror_r(why, other, room) ? "nothing can be sent there" : other;
}

void
rl_receivers_problem(const RlReceivers *const rs, RlText *const text)
{
  char other[128];
  int  wrong = 0;
  for (int i = 0; i < rs->count; ++i) {
    const RlReceiver *const r = &rs->at[i];
    if (!r->why || r->leaving || ++wrong > LISTED) {
      continue;
    }
    rl_text_add(text, wrong > 1 ? "; osc_to: " : "osc_to: ");
    rl_text_add_slice(text, r->word);
    rl_text_add(text, ": ");
    rl_text_add(text, reason(r->why, other, sizeof(other)));
  }
  if (wrong > LISTED) {
    rl_text_add(text, "; osc_to: and ");
    rl_text_add_int(text, wrong - LISTED);
    rl_text_add(text, " more");
  }
  if (rs->too_many) {
    rl_text_add(text, wrong ? "; " : "");
    rl_text_add(text, "osc_to: more than 32 addresses; only the first 32 are used");
  }
}
