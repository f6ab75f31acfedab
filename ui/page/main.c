/* SPDX-License-Identifier: ISC */
/* reedlamp-page: hears the plugin by OSC and shows one page to phones and tablets. Waits in one
   place for everything: packets, browsers, signals, the clock. */
#include "ui/page/net.h"
#include "ui/page/qr.h"
#include "ui/page/sheet_child.h"
#include "ui/page/state.h"
#include "ui/page/time_tag.h"
#include "ui/page/web.h"

#include <arpa/inet.h>
#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum {
  PORT_WEB = 9912,
  PORT_OSC = 9911,
  PACKETS  = 64 /* taken at once, so that a flood of them leaves time for browsers */
};

/* What changes together comes in several packets: a little patience, then all is told at once. */
static const double gather        = 0.002;
static const double pause_between = 0.01;

typedef struct {
  bool               lan;
  struct sockaddr_in web, osc;
  RlAccess           door;
} Plan;

typedef struct {
  RlPageState heard;
  RlTimeTag   when;
  RlWeb      *web;
  int         osc, signals;
  double      changed; /* when something did that has not been told; 0: nothing has */
  double      told, tidied;
  /* of the packet being read */
  double now, wall;
  bool   same_machine;
  bool   news;
} Page;

static bool
complain(const char *const what, const char *const why)
{
  fprintf(stderr, "reedlamp-page: %s%s%s\n", what, why ? ": " : "", why ? why : "");
  return false;
}

/* ---- the plan ---- */

static const char usage[] =
  "usage: reedlamp-page [--lan[=ADDRESS]] [--port=PORT] [--osc=[ADDRESS:]PORT] "
  "[--host=NAME[:PORT]]\n"
  "  --lan    show the page to the network too, at this machine's own address or the one given;\n"
  "           its own address then carries a random key\n"
  "  --port   where browsers call (9912)\n"
  "  --osc    where the plugin's OSC comes in (127.0.0.1:9911); a multicast group is joined\n"
  "  --host   another name browsers may call this page by, behind a proxy for one\n";

/* The value of `--name=value`, or NULL if it is another option. */
static const char *
value_of(const char *const argument, const char *const name)
{
  const size_t length = strlen(name);
  return strncmp(argument, name, length) != 0 ? NULL
         : argument[length] == '='            ? argument + length + 1
         : !argument[length]                  ? ""
                                              : NULL;
}

static bool
option_take(Plan *const p, const char *const argument)
{
  const char *const lan  = value_of(argument, "--lan");
  const char *const port = value_of(argument, "--port");
  const char *const osc  = value_of(argument, "--osc");
  const char *const host = value_of(argument, "--host");
  if (lan) {
    p->lan = true;
    return *lan ? strchr(lan, '.') && rl_net_read(lan, &p->web) : rl_net_own(&p->web.sin_addr);
  }
  if (host && *host) {
    rl_access_host(&p->door, host);
    return true;
  }
  return (port && !strpbrk(port, ".:") && rl_net_read(port, &p->web)) ||
         (osc && rl_net_read(osc, &p->osc));
}

static bool
plan_make(Plan *const p, const int count, char *const *const arguments)
{
  *p = (Plan){.web = {.sin_family      = AF_INET,
                      .sin_port        = htons(PORT_WEB),
                      .sin_addr.s_addr = htonl(INADDR_LOOPBACK)},
              .osc = {.sin_family      = AF_INET,
                      .sin_port        = htons(PORT_OSC),
                      .sin_addr.s_addr = htonl(INADDR_LOOPBACK)}};
  for (int i = 1; i < count; ++i) {
    if (!option_take(p, arguments[i])) {
      return complain(arguments[i], !strcmp(arguments[i], "--lan")
                                      ? "this machine is on no network"
                                      : "not understood; reedlamp-page --help says what is");
    }
  }
  char name[RL_NET_TEXT];
  rl_net_write(&p->web, name);
  rl_access_host(&p->door, name);
  if (!p->lan) {
    snprintf(name, sizeof(name), "localhost:%d", ntohs(p->web.sin_port));
    rl_access_host(&p->door, name);
    return true;
  }
  return rl_access_lock(&p->door) || complain("no random key", "the system has no randomness");
}

/* ---- opening and closing ---- */

static bool
taken(const struct sockaddr_in *const at, const char *const option)
{
  char where[RL_NET_TEXT], what[128];
  rl_net_write(at, where);
  snprintf(what, sizeof(what), "%s cannot be used (%s); choose another with %s", where,
           strerror(errno), option);
  return complain(what, NULL);
}

#ifdef RL_SHEET
static const RlSheetJobDraw draw = rl_sheet_child;
#else
static const RlSheetJobDraw draw = NULL;
#endif

static bool
page_open(Page *const page, const Plan *const p)
{
  sigset_t ends;
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGHUP);
  sigprocmask(SIG_BLOCK, &ends, NULL);
  signal(SIGPIPE, SIG_IGN);
  page->signals = signalfd(-1, &ends, SFD_CLOEXEC);
  if ((page->osc = rl_net_hear(&p->osc)) < 0) {
    return taken(&p->osc, "--osc");
  }
  const int listener = rl_net_listen(&p->web);
  if (listener < 0) {
    return taken(&p->web, "--port");
  }
  page->heard.sheets = draw != NULL;
  page->web          = rl_web_new(listener, &p->door, &page->heard, draw);
  if (!page->web) {
    close(listener);
    return complain("the web server does not start", "no memory");
  }
  return true;
}

static void
page_close(Page *const page)
{
  rl_web_free(page->web);
  close(page->osc);
  close(page->signals);
}

static void
page_announce(const Plan *const p)
{
  char web[RL_NET_TEXT], osc[RL_NET_TEXT], address[128];
  rl_net_write(&p->web, web);
  rl_net_write(&p->osc, osc);
  snprintf(address, sizeof(address), "http://%s/%s%s", web, p->door.key, p->lan ? "/" : "");
  printf("Open %s\n", address);
  if (p->lan) {
    rl_qr_print(address, isatty(STDOUT_FILENO), stdout);
    puts("Whoever has this address can watch; nobody can change anything.");
  } else {
    puts("On this machine only; --lan shows it to phones.");
  }
  printf("Waiting for the band at %s. Ctrl-C ends.\n", osc);
  fflush(stdout);
}

/* ---- hearing ---- */

static void
message_hear(void *const data, const RlOscMessage *const m)
{
  Page *const  page = (Page *)data;
  const double at   = m->time == RL_OSC_AT_ONCE
                        ? page->now
                        : rl_time_tag_happened(&page->when, rl_osc_seconds(m->time), page->wall,
                                               page->now, page->same_machine);
  page->news        = rl_page_state_apply(&page->heard, m, at, page->now) || page->news;
}

static double
wall_clock(void)
{
  struct timespec t;
  clock_gettime(CLOCK_REALTIME, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void
packets_hear(Page *const page)
{
  static uint8_t     packet[RL_OSC_SIZE_MAX];
  struct sockaddr_in from;
  in_addr_t          known = 0;
  for (int i = 0; i < PACKETS; ++i) {
    socklen_t     length = sizeof(from);
    const ssize_t size =
      recvfrom(page->osc, packet, sizeof(packet), 0, (struct sockaddr *)&from, &length);
    if (size < 0) {
      return;
    }
    if (!i || from.sin_addr.s_addr != known) {
      known              = from.sin_addr.s_addr;
      page->same_machine = rl_net_is_own(from.sin_addr);
    }
    page->now  = rl_time_tag_clock();
    page->wall = wall_clock();
    page->news = false;
    rl_osc_read(packet, (size_t)size, message_hear, page);
    if (page->news && page->changed == 0) {
      page->changed = page->now;
    }
  }
}

/* ---- the one place to wait ---- */

/* When what changed is to be told; never before a little pause. */
static double
due(const Page *const page)
{
  const double soonest = page->told + pause_between;
  const double wanted  = page->changed + gather;
  return wanted > soonest ? wanted : soonest;
}

static int
patience(const Page *const page, const double now)
{
  const int    web  = rl_web_patience(page->web);
  const double left = page->changed > 0 ? due(page) - now : 1;
  const int    own  = left <= 0 ? 0 : (int)(left * 1000) + 1;
  return web >= 0 && web < own ? web : own;
}

static void
page_run(Page *const page)
{
  struct pollfd on[] = {{page->signals, POLLIN, 0},
                        {page->osc, POLLIN, 0},
                        {rl_web_descriptor(page->web), POLLIN, 0},
                        {-1, POLLIN, 0}};
  while (!on[0].revents) {
    on[3].fd = rl_web_drawing(page->web);
    if (poll(on, 4, patience(page, rl_time_tag_clock())) < 0 && errno != EINTR) {
      complain("waiting failed", strerror(errno));
      return;
    }
    packets_hear(page);
    const double now = rl_time_tag_clock();
    if (page->changed > 0 && now >= due(page)) {
      page->changed = 0;
      page->told    = now;
      rl_web_tell(page->web);
    }
    if (now - page->tidied >= 0.5) {
      page->tidied = now;
      rl_web_tidy(page->web);
    }
    rl_web_run(page->web);
  }
}

int
main(const int count, char **const arguments)
{
  static Page page;
  Plan        plan;
  if (count == 2 && (!strcmp(arguments[1], "--help") || !strcmp(arguments[1], "-h"))) {
    fputs(usage, stdout);
    return 0;
  }
  page.osc = page.signals = -1;
  const bool open         = plan_make(&plan, count, arguments) && page_open(&page, &plan);
  if (open) {
    page_announce(&plan);
    page_run(&page);
  }
  page_close(&page);
  return open ? 0 : 1;
}
