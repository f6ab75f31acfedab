/* SPDX-License-Identifier: ISC */
/* reedlamp-page: receives the plugin's OSC and serves one page to phones and tablets. One thread,
   which waits in one place (page_run) for packets, browsers, signals and the clock. */
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
  PACKETS  = 64 /* read at once, so that a flood of them leaves time for browsers */
};

/* Seconds. What changes together comes in several packets: wait a little, then publish it once. */
static const double gather           = 0.002;
static const double publish_interval = 0.01; /* at least, from one publication to the next */

typedef struct {
  bool               lan;
  struct sockaddr_in web, osc;
  RlAccess           access;
} Options;

/* The server. Times are seconds on the monotonic clock. */
typedef struct {
  RlPageState   state;
  RlSenderClock sender;
  RlWeb        *web;
  int           osc, signals;
  double        changed; /* when the state first did since it was published; 0: it has not */
  double        published, tidied;
  /* of the packet being read */
  double now, wall; /* when it came; the same by the wall clock, since 1970 */
  bool   same_machine;
  bool   applied;
} Page;

static bool
complain(const char *const what, const char *const why)
{
  fprintf(stderr, "reedlamp-page: %s%s%s\n", what, why ? ": " : "", why ? why : "");
  return false;
}

/* ---- options ---- */

static const char usage[] =
  "usage: reedlamp-page [--lan[=ADDRESS]] [--port=PORT] [--osc=[ADDRESS:]PORT] "
  "[--host=NAME[:PORT]]\n"
  "  --lan    show the page to the network too, at this machine's own address or the one given;\n"
  "           its own address then carries a random key\n"
  "  --port   the port browsers connect to (9912)\n"
  "  --osc    where the plugin's OSC arrives (127.0.0.1:9911); a multicast group is joined\n"
  "  --host   another name of this page, such as a proxy's\n";

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
option_read(Options *const options, const char *const argument)
{
  const char *const lan  = value_of(argument, "--lan");
  const char *const port = value_of(argument, "--port");
  const char *const osc  = value_of(argument, "--osc");
  const char *const host = value_of(argument, "--host");
  if (lan) {
    options->lan = true;
    return *lan ? strchr(lan, '.') && rl_net_read(lan, &options->web)
                : rl_net_own_address(&options->web.sin_addr);
  }
  if (host && *host) {
    rl_access_add_host(&options->access, host);
    return true;
  }
  return (port && !strpbrk(port, ".:") && rl_net_read(port, &options->web)) ||
         (osc && rl_net_read(osc, &options->osc));
}

static bool
options_read(Options *const options, const int count, char *const *const arguments)
{
  *options = (Options){.web = {.sin_family      = AF_INET,
                               .sin_port        = htons(PORT_WEB),
                               .sin_addr.s_addr = htonl(INADDR_LOOPBACK)},
                       .osc = {.sin_family      = AF_INET,
                               .sin_port        = htons(PORT_OSC),
                               .sin_addr.s_addr = htonl(INADDR_LOOPBACK)}};
  for (int i = 1; i < count; ++i) {
    if (!option_read(options, arguments[i])) {
      return complain(arguments[i], !strcmp(arguments[i], "--lan")
                                      ? "this machine is not on a network"
                                      : "not understood; see reedlamp-page --help");
    }
  }
  char name[RL_NET_TEXT_SIZE];
  rl_net_write(&options->web, name);
  rl_access_add_host(&options->access, name);
  if (!options->lan) {
    snprintf(name, sizeof(name), "localhost:%d", ntohs(options->web.sin_port));
    rl_access_add_host(&options->access, name);
    return true;
  }
  return rl_access_make_key(&options->access) ||
         complain("no random key", "the system has no randomness");
}

/* ---- opening and closing ---- */

static bool
cannot_bind(const struct sockaddr_in *const at, const char *const option)
{
  char where[RL_NET_TEXT_SIZE], what[128];
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
page_open(Page *const page, const Options *const options)
{
  sigset_t ends;
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGHUP);
  sigprocmask(SIG_BLOCK, &ends, NULL);
  signal(SIGPIPE, SIG_IGN);
  page->signals = signalfd(-1, &ends, SFD_CLOEXEC);
  if ((page->osc = rl_net_open_udp(&options->osc)) < 0) {
    return cannot_bind(&options->osc, "--osc");
  }
  const int listener = rl_net_open_tcp(&options->web);
  if (listener < 0) {
    return cannot_bind(&options->web, "--port");
  }
  page->state.sheets = draw != NULL;
  page->web          = rl_web_new(listener, &options->access, &page->state, draw);
  if (!page->web) {
    close(listener);
    return complain("the web server does not start", "not enough memory");
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
page_announce(const Options *const options)
{
  char web[RL_NET_TEXT_SIZE], osc[RL_NET_TEXT_SIZE], address[128];
  rl_net_write(&options->web, web);
  rl_net_write(&options->osc, osc);
  snprintf(address, sizeof(address), "http://%s/%s%s", web, options->access.key,
           options->lan ? "/" : "");
  printf("Open %s\n", address);
  if (options->lan) {
    rl_qr_print(address, isatty(STDOUT_FILENO), stdout);
    puts("Whoever has this address can watch; nobody can change anything.");
  } else {
    puts("On this machine only; --lan shows it to phones.");
  }
  printf("Waiting for the plugin at %s. Ctrl-C ends.\n", osc);
  fflush(stdout);
}

/* ---- packets ---- */

static void
message_apply(void *const data, const RlOscMessage *const m)
{
  Page *const  page = (Page *)data;
  const double at   = m->time == RL_OSC_IMMEDIATELY
                        ? page->now
                        : rl_time_tag_to_local(&page->sender, rl_osc_seconds(m->time), page->wall,
                                               page->now, page->same_machine);
  page->applied     = rl_page_state_apply(&page->state, m, at, page->now) || page->applied;
}

static double
wall_clock(void)
{
  struct timespec t;
  clock_gettime(CLOCK_REALTIME, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void
packets_read(Page *const page)
{
  static uint8_t     packet[RL_OSC_SIZE_MAX];
  struct sockaddr_in from;
  in_addr_t          last = 0;
  for (int i = 0; i < PACKETS; ++i) {
    socklen_t     length = sizeof(from);
    const ssize_t size =
      recvfrom(page->osc, packet, sizeof(packet), 0, (struct sockaddr *)&from, &length);
    if (size < 0) {
      return;
    }
    if (!i || from.sin_addr.s_addr != last) {
      last               = from.sin_addr.s_addr;
      page->same_machine = rl_net_is_own(from.sin_addr);
    }
    page->now     = rl_time_tag_now();
    page->wall    = wall_clock();
    page->applied = false;
    rl_osc_read(packet, (size_t)size, message_apply, page);
    if (page->applied && page->changed == 0) {
      page->changed = page->now;
    }
  }
}

/* ---- waiting ---- */

/* When the change is to be published. */
static double
due(const Page *const page)
{
  const double soonest = page->published + publish_interval;
  const double wanted  = page->changed + gather;
  return wanted > soonest ? wanted : soonest;
}

/* How long to wait at most, in milliseconds. */
static int
timeout(const Page *const page, const double now)
{
  const int    web  = rl_web_timeout(page->web);
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
    on[3].fd = rl_web_sheet_descriptor(page->web);
    if (poll(on, 4, timeout(page, rl_time_tag_now())) < 0 && errno != EINTR) {
      complain("waiting failed", strerror(errno));
      return;
    }
    packets_read(page);
    const double now = rl_time_tag_now();
    if (page->changed > 0 && now >= due(page)) {
      page->changed   = 0;
      page->published = now;
      rl_web_publish(page->web);
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
  Options     options;
  if (count == 2 && (!strcmp(arguments[1], "--help") || !strcmp(arguments[1], "-h"))) {
    fputs(usage, stdout);
    return 0;
  }
  page.osc = page.signals = -1;
  const bool open         = options_read(&options, count, arguments) && page_open(&page, &options);
  if (open) {
    page_announce(&options);
    page_run(&page);
  }
  page_close(&page);
  return open ? 0 : 1;
}
