/* SPDX-License-Identifier: ISC */
/* A hall of phones, as far as a server can tell: so many event streams read by one process, which
   says how late the plugin's beats come to them.

     hall GROUP:PORT COUNT HOST:PORT [PATH [NAME]]

   It hears the plugin's OSC itself, at an address of its own or as a member of the multicast group.
   What the kernel notes when a packet comes (SO_TIMESTAMPNS) is when it was sent: all of this is on
   one machine. A beat is late by the time from there until its event has been read here; the queue
   of events that wait to be read counts too. Both are brought to CLOCK_MONOTONIC.

   Each phone does what the page does (site/stream.js): it opens `news`, on a second connection it
   asks for `chart` once and for `time` now and then, and when a stream ends it comes back after
   0.3, 0.7, 1, 1 ... seconds. PATH stands before these names (/ if nothing is said), NAME is
   what Host says (HOST:PORT). On standard input, `phase NAME` prints a line of JSON about what came
   since the line before; `end` does too, and ends. */
#define _GNU_SOURCE

#include "ui/page/net.h"
#include "ui/page/osc.h"

#include <errno.h>
#include <math.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum {
  BEATS     = 4096, /* that are remembered */
  BLOCK     = 4096, /* bytes of an answer looked at together */
  LATE_MAX  = 1 << 22,
  READY_MAX = 256,
  TICK      = 10 /* ms between looks at the clock */
};

static const double silence     = 3;     /* seconds until a stream is given up, as in the page */
static const double ask_every   = 8;     /* seconds */
static const double near        = 0.011; /* of a beat, for a place to be one */
static const double overdue     = 0.5;   /* seconds until a beat that has not come is missed */
static const double hangs       = 2.5;   /* until an attempt is given up */
static const double retries[]   = {0.3, 0.7, 1};
static const int    retries_max = (int)(sizeof(retries) / sizeof(retries[0])) - 1;

typedef struct {
  int    chorus, bar;
  double beat, at; /* sent, in seconds on the monotonic clock */
} Beat;

typedef enum { NEWS, ASK, KINDS } Kind;

struct Phone;

typedef struct {
  Kind          kind;
  int           socket; /* -1: none */
  bool          sent;   /* is the request on its way? */
  bool          body;   /* has the head of the answer been read? */
  size_t        have;
  char          text[BLOCK + 1];
  struct Phone *phone;
} Connection;

typedef struct Phone {
  Connection to[KINDS];
  bool       open;     /* states come */
  int        tries;    /* since one came */
  double     due;      /* when to connect again; 0: not now */
  double     ask;      /* when to ask for something next */
  double     gone;     /* since when nothing came; 0: it does */
  double     heard;    /* when the last state came */
  long       beat;     /* the last one that came; -1: none since it was opened */
  bool       has_text; /* the chart, asked for once a connection */
} Phone;

static struct {
  struct sockaddr_in osc, server;
  const char        *path, *name;
  int                epoll, ear, count;
  Phone             *phone;
  Beat               beat[BEATS];
  long               beats;  /* heard so far */
  double             packet; /* when the one being read was sent */
  bool               end;
} hall;

/* Of the present phase. */
static struct {
  char   name[32];
  double began;
  long   beats, missed, lost, refused, came_back, asked;
  double away, gap; /* the longest, in seconds */
  size_t lates;
  float *late; /* milliseconds */
} phase;

static double
seconds(const clockid_t clock)
{
  struct timespec t;
  clock_gettime(clock, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static double
now(void)
{
  return seconds(CLOCK_MONOTONIC);
}

/* ---- the plugin ---- */

static void
message_hear(void *const data, const RlOscMessage *const m)
{
  (void)data;
  const double beat = (double)m->arg[3].f;
  if (strcmp(m->address, "/reedlamp/place") != 0 || strcmp(m->types, "iiiff") != 0 ||
      m->arg[1].i == 0 || fabs(beat - round(beat)) > near) {
    return;
  }
  const Beat heard = {m->arg[0].i, m->arg[1].i, beat, hall.packet};
  const Beat last  = hall.beats ? hall.beat[(hall.beats - 1) % BEATS] : (Beat){0};
  if (!hall.beats || heard.chorus != last.chorus || heard.bar != last.bar ||
      fabs(heard.beat - last.beat) > near) {
    hall.beat[hall.beats++ % BEATS] = heard;
    ++phase.beats;
  }
}

static void
packets_hear(void)
{
  static uint8_t packet[RL_OSC_SIZE_MAX];
  char           control[256];
  struct iovec   bytes = {packet, sizeof(packet)};
  for (;;) {
    struct msghdr m    = {.msg_iov        = &bytes,
                          .msg_iovlen     = 1,
                          .msg_control    = control,
                          .msg_controllen = sizeof(control)};
    const ssize_t size = recvmsg(hall.ear, &m, MSG_DONTWAIT);
    if (size < 0) {
      return;
    }
    const double ahead = seconds(CLOCK_REALTIME) - now();
    hall.packet        = now();
    for (struct cmsghdr *c = CMSG_FIRSTHDR(&m); c; c = CMSG_NXTHDR(&m, c)) {
      if (c->cmsg_level == SOL_SOCKET && c->cmsg_type == SO_TIMESTAMPNS) {
        struct timespec t;
        memcpy(&t, CMSG_DATA(c), sizeof(t));
        hall.packet = (double)t.tv_sec + (double)t.tv_nsec * 1e-9 - ahead;
      }
    }
    rl_osc_read(packet, (size_t)size, message_hear, NULL);
  }
}

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

static void
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

static void
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

/* ---- what is said ---- */

static int
by_value(const void *const a, const void *const b)
{
  const float x = *(const float *)a, y = *(const float *)b;
  return (x > y) - (x < y);
}

static double
share(const double part)
{
  const size_t i = (size_t)((double)phase.lates * part);
  return phase.lates ? (double)phase.late[i < phase.lates ? i : phase.lates - 1] : -1;
}

static void
phase_begin(const char *const name)
{
  float *const late = phase.late;
  memset(&phase, 0, sizeof(phase));
  phase.late  = late;
  phase.began = now();
  snprintf(phase.name, sizeof(phase.name), "%.31s", name);
}

static void
phase_print(void)
{
  int          open = 0;
  const double time = now();
  for (int i = 0; i < hall.count; ++i) {
    const Phone *const p = &hall.phone[i];
    open += p->open;
    for (long b = p->beat + 1; p->open && p->beat >= 0 && b < hall.beats; ++b) {
      phase.missed += time - hall.beat[b % BEATS].at > overdue;
    }
    phase.gap  = fmax(phase.gap, p->open ? time - p->heard : 0);
    phase.away = fmax(phase.away, p->gone > 0 ? time - p->gone : 0);
  }
  qsort(phase.late, phase.lates, sizeof(float), by_value);
  printf("{\"phase\":\"%s\",\"seconds\":%.1f,\"open\":%d,\"beats\":%ld,\"events\":%zu,"
         "\"missed\":%ld,\"p50\":%.1f,\"p95\":%.1f,\"p99\":%.1f,\"most\":%.1f,\"lost\":%ld,"
         "\"back\":%ld,\"away\":%.2f,\"gap\":%.2f,\"refused\":%ld,\"asked\":%ld}\n",
         phase.name, time - phase.began, open, phase.beats, phase.lates, phase.missed, share(0.5),
         share(0.95), share(0.99), share(1), phase.lost, phase.came_back, phase.away, phase.gap,
         phase.refused, phase.asked);
  fflush(stdout);
}

static void
commands_read(void)
{
  static char   text[256];
  static size_t have;
  const ssize_t got = read(STDIN_FILENO, text + have, sizeof(text) - 1 - have);
  hall.end          = got <= 0;
  have += got > 0 ? (size_t)got : 0;
  text[have] = '\0';
  for (char *end; (end = strchr(text, '\n'));) {
    *end     = '\0';
    hall.end = hall.end || !strcmp(text, "end");
    phase_print();
    phase_begin(!strncmp(text, "phase ", 6) ? text + 6 : "");
    have = strlen(end + 1);
    memmove(text, end + 1, have + 1);
  }
}

/* ---- beginning ---- */

static bool
ear_open(void)
{
  const int yes = 1;
  hall.ear      = rl_net_open_udp(&hall.osc);
  return hall.ear >= 0 && !setsockopt(hall.ear, SOL_SOCKET, SO_TIMESTAMPNS, &yes, sizeof(yes));
}

static void
phones_make(void)
{
  struct rlimit files;
  getrlimit(RLIMIT_NOFILE, &files);
  files.rlim_cur = files.rlim_max;
  setrlimit(RLIMIT_NOFILE, &files);
  hall.phone = (Phone *)calloc((size_t)hall.count, sizeof(Phone));
  phase.late = (float *)malloc(sizeof(float) * LATE_MAX);
  for (int i = 0; i < hall.count; ++i) {
    hall.phone[i].due  = now() + 1e-3 * i; /* a thousand a second */
    hall.phone[i].beat = -1;
    for (int k = 0; k < KINDS; ++k) {
      hall.phone[i].to[k] = (Connection){.kind = (Kind)k, .socket = -1, .phone = &hall.phone[i]};
    }
  }
}

static void
hall_run(void)
{
  static int         ear_mark, command_mark;
  struct epoll_event ready[READY_MAX];
  epoll_ctl(hall.epoll, EPOLL_CTL_ADD, hall.ear,
            &(struct epoll_event){.events = EPOLLIN, .data.ptr = &ear_mark});
  epoll_ctl(hall.epoll, EPOLL_CTL_ADD, STDIN_FILENO,
            &(struct epoll_event){.events = EPOLLIN, .data.ptr = &command_mark});
  double looked = 0;
  while (!hall.end) {
    const int count = epoll_wait(hall.epoll, ready, READY_MAX, TICK);
    packets_hear(); /* first: what an event is about must be known */
    for (int i = 0; i < count; ++i) {
      if (ready[i].data.ptr == &command_mark) {
        commands_read();
      } else if (ready[i].data.ptr != &ear_mark) {
        connection_ready((Connection *)ready[i].data.ptr, ready[i].events);
      }
    }
    if (now() - looked >= 1e-3 * TICK) {
      looked = now();
      for (int i = 0; i < hall.count; ++i) {
        phone_tick(&hall.phone[i], looked);
      }
    }
  }
}

int
main(const int count, char **const arguments)
{
  hall.osc = hall.server = (struct sockaddr_in){.sin_family = AF_INET};
  if (count < 4 || !rl_net_read(arguments[1], &hall.osc) ||
      (hall.count = atoi(arguments[2])) <= 0 || !rl_net_read(arguments[3], &hall.server)) {
    fputs("usage: hall GROUP:PORT COUNT HOST:PORT [PATH [NAME]]\n", stderr);
    return EXIT_FAILURE;
  }
  hall.path  = count > 4 ? arguments[4] : "/";
  hall.name  = count > 5 ? arguments[5] : arguments[3];
  hall.epoll = epoll_create1(EPOLL_CLOEXEC);
  if (!ear_open()) {
    perror("hall: OSC");
    return EXIT_FAILURE;
  }
  phones_make();
  phase_begin("opening");
  hall_run();
  return EXIT_SUCCESS;
}
