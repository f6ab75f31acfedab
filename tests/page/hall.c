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

#include "phones.h"

#include "ui/page/net.h"
#include "ui/page/osc.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum { READY_MAX = 256, TICK = 10 /* ms between looks at the clock */ };

static const double overdue = 0.5; /* seconds until a beat that has not come is missed */

Hall  hall;
Phase phase;

static double
seconds(const clockid_t clock)
{
  struct timespec t;
  clock_gettime(clock, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

double
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
  if (!phones_make()) {
    perror("hall: phones");
    return EXIT_FAILURE;
  }
  phase_begin("opening");
  hall_run();
  return EXIT_SUCCESS;
}
