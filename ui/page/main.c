/* SPDX-License-Identifier: ISC */
/* reedlamp-page: receives the plugin's OSC and serves one page to phones and tablets. One thread,
   which waits in one place (page_run) for packets, browsers, signals and the clock. */
#include "ui/page/net.h"
#include "ui/page/options.h"
#include "ui/page/qr.h"
#include "ui/page/sheet_child.h"
#include "ui/page/state.h"
#include "ui/page/time_tag.h"
#include "ui/page/web.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/resource.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum {
  PACKETS = 64, /* read at once, so that a flood of them leaves time for browsers */
  FILES   = 40  /* open besides connections */
};

/* Seconds. What changes together comes in several packets: wait a little, then publish it once. */
static const double gather           = 0.002;
static const double publish_interval = 0.01; /* at least, from one publication to the next */
static const double silence          = 5;    /* as in site/follower.js */

/* The server. Times are seconds on the monotonic clock. */
typedef struct {
  RlPageState   state;
  RlSenderClock sender;
  RlWeb        *web;
  int           osc, signals;
  double        changed; /* when the state first did since it was published; 0: it has not */
  double        published, tidied;
  bool          heard;    /* the plugin, as was said last */
  int           silences; /* of it, so far */
  /* of the packet being read */
  double now, wall; /* when it came; the same by the wall clock, since 1970 */
  bool   same_machine;
  bool   applied;
} Page;

/* ---- opening and closing ---- */

static bool
cannot_bind(const struct sockaddr_in *const at, const char *const option)
{
  char where[RL_NET_TEXT_SIZE], what[128];
  rl_net_write(at, where);
  snprintf(what, sizeof(what), "%s cannot be used (%s); choose another with %s", where,
           strerror(errno), option);
  return rl_options_complain(what, NULL);
}

#ifdef RL_SHEET
static const RlSheetJobDraw draw = rl_sheet_child;
#else
static const RlSheetJobDraw draw = NULL;
#endif

/* Allows as many open files as there may be connections. */
static bool
files_allow(const int readers)
{
  struct rlimit files;
  const rlim_t  wanted = (rlim_t)rl_web_connections(readers) + FILES;
  char          what[64], why[160];
  if (getrlimit(RLIMIT_NOFILE, &files) || files.rlim_cur >= wanted) {
    return true;
  }
  const rlim_t most = files.rlim_max;
  files.rlim_cur    = most < wanted ? most : wanted;
  if (most >= wanted && !setrlimit(RLIMIT_NOFILE, &files)) {
    return true;
  }
  snprintf(what, sizeof(what), "--readers=%d needs %lu open files", readers, (unsigned long)wanted);
  snprintf(why, sizeof(why),
           "this system allows %lu; ask for fewer readers, or allow more (ulimit -Hn, or "
           "LimitNOFILE= of a service)",
           (unsigned long)most);
  return rl_options_complain(what, why);
}

static bool
page_open(Page *const page, const RlOptions *const options)
{
  sigset_t ends;
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGHUP);
  sigprocmask(SIG_BLOCK, &ends, NULL);
  signal(SIGPIPE, SIG_IGN);
  if (!files_allow(options->readers)) {
    return false;
  }
  page->signals = signalfd(-1, &ends, SFD_CLOEXEC);
  if ((page->osc = rl_net_open_udp(&options->osc)) < 0) {
    return cannot_bind(&options->osc, "--osc");
  }
  const int listener = rl_net_open_tcp(&options->web);
  if (listener < 0) {
    return cannot_bind(&options->web, "--port");
  }
  page->state.sheets = draw != NULL;
  if (getrandom(&page->state.from, sizeof(page->state.from), 0) < 0) {
    page->state.from = (uint32_t)getpid();
  }
  page->web = rl_web_new(&(RlWebChoice){.listener = listener,
                                        .readers  = options->readers,
                                        .proxy    = options->proxy.s_addr,
                                        .access   = &options->access,
                                        .state    = &page->state,
                                        .draw     = draw});
  if (!page->web) {
    close(listener);
    return rl_options_complain("the web server does not start", "not enough memory");
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
key_announce(const RlOptions *const options, const char *const web, const char *const address)
{
  char keys[RL_ACCESS_KEYS_SIZE], words[RL_WORDS_SIZE];
  rl_access_write_keys(&options->access, keys);
  memcpy(words, options->access.words, sizeof(words));
  for (char *at; (at = strchr(words, '-'));) {
    *at = ' ';
  }
  rl_qr_print(address, isatty(STDOUT_FILENO), stdout);
  printf("Or open http://%s and type: %s\n", web, words);
  printf("The code for a beamer: %scode\n", address);
  printf("The same address another time: --key=%s\n", keys);
  puts("Whoever has this address can watch; nobody can change anything.");
}

static void
page_announce(const RlOptions *const options)
{
  char web[RL_NET_TEXT_SIZE], osc[RL_NET_TEXT_SIZE], address[128];
  rl_net_write(&options->web, web);
  rl_net_write(&options->osc, osc);
  snprintf(address, sizeof(address), "http://%s/%s%s", web, options->access.key,
           options->keyed ? "/" : "");
  printf("Open %s\n", address);
  if (options->keyed) {
    key_announce(options, web, address);
  }
  if (!options->lan) {
    puts("On this machine only; --lan shows it to phones.");
  }
  printf("Waiting for the plugin at %s. Ctrl-C ends.\n", osc);
  fflush(stdout);
}

/* Says when the plugin is first heard, falls silent, and is heard again. */
static void
plugin_announce(Page *const page, const double now)
{
  const double last  = page->state.last;
  const bool   heard = last > 0 && now - last < silence;
  if (heard == page->heard) {
    return;
  }
  page->heard = heard;
  if (heard) {
    puts(page->silences ? "The plugin is heard again." : "The plugin is heard.");
  } else {
    ++page->silences;
    printf("Nothing from the plugin for %.0f seconds. Is OSC on, does the DAW run?\n", silence);
  }
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
    page->applied = rl_page_player_news(&page->state.player, page->now) || page->applied;
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
      rl_options_complain("waiting failed", strerror(errno));
      return;
    }
    packets_read(page);
    const double now = rl_time_tag_now();
    if (page->changed > 0 && now >= due(page)) {
      page->changed   = 0;
      page->published = now;
      rl_web_publish(page->web);
    }
    plugin_announce(page, now);
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
  RlOptions   options;
  if (count == 2 && (!strcmp(arguments[1], "--help") || !strcmp(arguments[1], "-h"))) {
    fputs(rl_options_usage, stdout);
    return 0;
  }
  page.osc = page.signals = -1;
  const bool open = rl_options_read(&options, count, arguments) && page_open(&page, &options);
  if (open) {
    page_announce(&options);
    page_run(&page);
  }
  page_close(&page);
  return open ? 0 : 1;
}
