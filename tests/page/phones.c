/* SPDX-License-Identifier: ISC */
#define _GNU_SOURCE

#include "phones.h"

#include <errno.h>
#include <math.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <unistd.h>

static const double silence     = 3;   /* seconds until a stream is given up, as in the page */
static const double ask_every   = 8;   /* seconds */
static const double hangs       = 2.5; /* until an attempt is given up */
static const double retries[]   = {0.3, 0.7, 1};
static const int    retries_max = (int)(sizeof(retries) / sizeof(retries[0])) - 1;

/* ---- what comes to a phone ---- */

/* The number of the beat that a state is about; -1 if it is about none that was heard. */
static long
beat_of(const char *const state)
{
  double            at, beat;
  int               chorus, bar, bars;
  const char *const place = strstr(state, "\"place\":[");
  if (!place || sscanf(place + 9, "%lf,%d,%d,%d,%lf", &at, &chorus, &bar, &bars, &beat) != 5) {
    return -1;
  }
  for (long i = hall.beats - 1; i >= 0 && i > hall.beats - BEATS; --i) {
    const Beat *const b = &hall.beat[i % BEATS];
    if (b->chorus == chorus && b->bar == bar && fabs(b->beat - beat) <= near) {
      return i;
    }
  }
  return -1;
}

static void
state_take(Phone *const p, const char *const state, const double came)
{
  const long beat = beat_of(state);
  if (p->open) {
    phase.gap = fmax(phase.gap, came - p->heard);
  }
  if (p->gone > 0) {
    phase.away = fmax(phase.away, came - p->gone);
    ++phase.came_back;
  }
  p->open  = true;
  p->tries = 0;
  p->gone  = 0;
  p->heard = came;
  if (beat > p->beat && p->beat >= 0) { /* the first one may have been old when it was opened */
    phase.missed += beat - p->beat - 1;
    if (phase.lates < LATE_MAX) {
      phase.late[phase.lates++] = (float)(1e3 * (came - hall.beat[beat % BEATS].at));
    }
  }
  p->beat = beat > p->beat ? beat : p->beat;
}

static void
connection_close(Connection *const c)
{
  if (c->socket >= 0) {
    close(c->socket);
  }
  *c = (Connection){.kind = c->kind, .socket = -1, .phone = c->phone};
}

/* The stream has ended or never began. */
static void
phone_lose(Phone *const p)
{
  connection_close(&p->to[NEWS]);
  connection_close(&p->to[ASK]);
  phase.lost += p->open;
  if (p->gone == 0) {
    p->gone = p->open ? p->heard : now();
  }
  p->open     = false;
  p->has_text = false;
  p->beat     = -1;
  p->due      = now() + retries[p->tries < retries_max ? p->tries++ : retries_max];
}

/* Events lie in chunks of any size; what stands between them begins a line of its own, and ours
   has no line that looks so. */
static void
news_read(Connection *const c, const double came)
{
  char *at = c->text;
  if (!c->body) {
    char *const end = strstr(at, "\r\n\r\n");
    if (!end) {
      return;
    }
    if (strncmp(at, "HTTP/1.1 200", 12) != 0) {
      ++phase.refused;
      phone_lose(c->phone);
      return;
    }
    c->body = true;
    at      = end + 4;
  }
  for (char *end; (end = strstr(at, "}\n\n")); at = end + 3) {
    char *const begin = strstr(at, "data: {");
    end[1]            = '\0';
    if (begin) {
      state_take(c->phone, begin, came);
    }
  }
  c->have -= (size_t)(at - c->text);
  memmove(c->text, at, c->have + 1);
}

static void
connection_read(Connection *const c)
{
  for (;;) {
    if (c->have == BLOCK || c->kind == ASK) {
      c->have = 0;
    }
    const ssize_t got = recv(c->socket, c->text + c->have, BLOCK - c->have, 0);
    if (got < 0 && errno == EAGAIN) {
      return;
    }
    if (got <= 0) {
      if (c->kind == NEWS) {
        phone_lose(c->phone);
      } else {
        connection_close(c);
      }
      return;
    }
    c->have += (size_t)got;
    c->text[c->have] = '\0';
    if (c->kind == NEWS) {
      news_read(c, now());
      if (c->socket < 0) {
        return;
      }
    }
  }
}

/* ---- what a phone does ---- */

static void
request_send(Connection *const c, const char *const what)
{
  char      text[512];
  const int length = snprintf(text, sizeof(text), "GET %s%s HTTP/1.1\r\nHost: %s\r\n\r\n",
                              hall.path, what, hall.name);
  c->sent          = send(c->socket, text, (size_t)length, MSG_NOSIGNAL) == length;
}

static void
connection_open(Connection *const c)
{
  connection_close(c);
  const int yes = 1;
  c->socket     = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
  if (c->socket < 0) {
    perror("hall: a socket");
    exit(EXIT_FAILURE);
  }
  setsockopt(c->socket, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  const bool failed =
    connect(c->socket, (const struct sockaddr *)&hall.server, sizeof(hall.server)) &&
    errno != EINPROGRESS;
  struct epoll_event e = {.events = EPOLLIN | EPOLLOUT | EPOLLRDHUP | EPOLLET, .data.ptr = c};
  if (!failed) {
    epoll_ctl(hall.epoll, EPOLL_CTL_ADD, c->socket, &e);
  } else if (c->kind == NEWS) {
    phone_lose(c->phone);
  } else {
    connection_close(c);
  }
}

void
connection_ready(Connection *const c, const unsigned events)
{
  if (c->socket >= 0 && !c->sent && events & EPOLLOUT && !(events & (EPOLLERR | EPOLLHUP))) {
    request_send(c, c->kind == NEWS ? "news" : c->phone->has_text ? "time" : "chart");
    c->phone->has_text = c->phone->has_text || c->kind == ASK;
    phase.asked += c->kind == ASK;
  }
  if (c->socket >= 0 && events & (EPOLLIN | EPOLLERR | EPOLLHUP | EPOLLRDHUP)) {
    connection_read(c);
  }
}

void
phone_tick(Phone *const p, const double time)
{
  if (p->due > 0 && time >= p->due) {
    p->due   = 0;
    p->heard = time;
    p->ask   = time + 0.2;
    connection_open(&p->to[NEWS]);
  } else if (!(p->due > 0) && time - p->heard > (p->open ? silence : hangs)) {
    phone_lose(p);
  }
  if (p->open && time >= p->ask) {
    p->ask = time + ask_every;
    if (p->to[ASK].socket >= 0) {
      request_send(&p->to[ASK], "time");
      ++phase.asked;
    } else {
      connection_open(&p->to[ASK]);
    }
  }
}

/* ---- beginning ---- */

bool
phones_make(void)
{
  struct rlimit files;
  getrlimit(RLIMIT_NOFILE, &files);
  files.rlim_cur = files.rlim_max;
  setrlimit(RLIMIT_NOFILE, &files);
  hall.phone = (Phone *)calloc((size_t)hall.count, sizeof(Phone));
  phase.late = (float *)malloc(sizeof(float) * LATE_MAX);
  for (int i = 0; hall.phone && i < hall.count; ++i) {
    hall.phone[i].due  = now() + 1e-3 * i; /* a thousand a second */
    hall.phone[i].beat = -1;
    for (int k = 0; k < KINDS; ++k) {
      hall.phone[i].to[k] = (Connection){.kind = (Kind)k, .socket = -1, .phone = &hall.phone[i]};
    }
  }
  return hall.phone && phase.late;
}
