/* SPDX-License-Identifier: ISC */
#include "ui/page/options.h"

#include "ui/page/net.h"
#include "ui/page/web.h"

#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PORT_WEB = 9912, PORT_OSC = 9911 };

const char rl_options_usage[] =
  "usage: reedlamp-page [--lan[=ADDRESS]] [--port=PORT] [--osc=[ADDRESS:]PORT] "
  "[--host=NAME[:PORT]]\n"
  "                     [--readers=NUMBER] [--key=KEY] [--proxy=ADDRESS]\n"
  "  --lan      show the page to the network too, at this machine's own address or the one given;\n"
  "             its own address then carries a random key\n"
  "  --port     the port browsers connect to (9912)\n"
  "  --osc      where the plugin's OSC arrives (127.0.0.1:9911); a multicast group is joined\n"
  "  --host     another name of this page, such as a proxy's\n"
  "  --readers  how many pages are told the news at once (120)\n"
  "  --key      the key that it printed another time: the page's address stays the same\n"
  "  --proxy    a proxy on another machine, which asks for many\n";

bool
rl_options_complain(const char *const what, const char *const why)
{
  fprintf(stderr, "reedlamp-page: %s%s%s\n", what, why ? ": " : "", why ? why : "");
  return false;
}

/* Each reads a value into the options, or says what is wrong with it; NULL: nothing is. */
typedef const char *(*Reader)(RlOptions *options, const char *value);

static const char not_understood[] = "not understood; see reedlamp-page --help";

static const char *
lan_read(RlOptions *const o, const char *const value)
{
  o->lan = o->keyed = true;
  if (!*value) {
    return rl_net_own_address(&o->web.sin_addr) ? NULL : "this machine is not on a network";
  }
  return strchr(value, '.') && rl_net_read(value, &o->web) ? NULL : not_understood;
}

static const char *
port_read(RlOptions *const o, const char *const value)
{
  return !strpbrk(value, ".:") && rl_net_read(value, &o->web) ? NULL : not_understood;
}

static const char *
osc_read(RlOptions *const o, const char *const value)
{
  return rl_net_read(value, &o->osc) ? NULL : not_understood;
}

static const char *
host_read(RlOptions *const o, const char *const value)
{
  if (!*value) {
    return not_understood;
  }
  rl_access_add_host(&o->access, value);
  return NULL;
}

static const char *
readers_read(RlOptions *const o, const char *const value)
{
  char      *end;
  const long number = strtol(value, &end, 10);
  if (end == value || *end || number < 1 || number > RL_WEB_READERS_MAX) {
    return "a number from 1 to 20000 is needed";
  }
  o->readers = (int)number;
  return NULL;
}

static const char *
key_read(RlOptions *const o, const char *const value)
{
  o->keyed = true;
  return rl_access_read_keys(&o->access, value)
           ? NULL
           : "no key of ours; start with --lan alone, which prints one for another time";
}

static const char *
proxy_read(RlOptions *const o, const char *const value)
{
  return inet_pton(AF_INET, value, &o->proxy) == 1 ? NULL : "an IPv4 address is needed";
}

static const struct {
  const char *name;
  Reader      read;
  bool        bare; /* may stand without a value */
} table[] = {
  {"--lan", lan_read, true},          {"--port", port_read, false}, {"--osc", osc_read, false},
  {"--host", host_read, false},       {"--key", key_read, false},   {"--proxy", proxy_read, false},
  {"--readers", readers_read, false},
};

static const char *
option_read(RlOptions *const options, const char *const argument)
{
  const size_t length = strcspn(argument, "=");
  const char  *value  = argument + length + (argument[length] == '=');
  for (size_t i = 0; i < sizeof(table) / sizeof(table[0]); ++i) {
    if (strlen(table[i].name) == length && !strncmp(argument, table[i].name, length) &&
        (argument[length] || table[i].bare)) {
      return table[i].read(options, value);
    }
  }
  return not_understood;
}

static void
names_add(RlOptions *const options)
{
  char name[RL_NET_TEXT_SIZE];
  rl_net_write(&options->web, name);
  rl_access_add_host(&options->access, name);
  if (!options->lan) {
    snprintf(name, sizeof(name), "localhost:%d", ntohs(options->web.sin_port));
    rl_access_add_host(&options->access, name);
  }
}

bool
rl_options_read(RlOptions *const options, const int count, char *const *const arguments)
{
  *options = (RlOptions){.readers = RL_WEB_READERS,
                         .web     = {.sin_family      = AF_INET,
                                     .sin_port        = htons(PORT_WEB),
                                     .sin_addr.s_addr = htonl(INADDR_LOOPBACK)},
                         .osc     = {.sin_family      = AF_INET,
                                     .sin_port        = htons(PORT_OSC),
                                     .sin_addr.s_addr = htonl(INADDR_LOOPBACK)}};
  for (int i = 1; i < count; ++i) {
    const char *const wrong = option_read(options, arguments[i]);
    if (wrong) {
      return rl_options_complain(arguments[i], wrong);
    }
  }
  names_add(options);
  return !options->keyed || *options->access.key || rl_access_make_key(&options->access) ||
         rl_options_complain("no random key", "the system has no randomness");
}
