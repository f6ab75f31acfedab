/* SPDX-License-Identifier: ISC */
#include "client.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <time.h>

enum { LET_IN = 100, THERE = 300 /* tenths of a second */ };

static volatile sig_atomic_t over;

static void
end(const int number)
{
  (void)number;
  over = 1;
}

static void
nap(void)
{
  nanosleep(&(struct timespec){0, 100000000}, NULL);
}

jack_client_t *
client_open(const char *const name)
{
  jack_client_t *client = NULL;
  for (int i = 0; !client && i < LET_IN; ++i) {
    client = jack_client_open(name, JackNoStartServer | JackUseExactName, NULL);
    if (!client) {
      nap();
    }
  }
  return client;
}

static bool
all_connected(jack_client_t *const client, jack_port_t *const out, const char **const ports,
              const int count)
{
  int connected = 0;
  for (; ports && connected < count && ports[connected]; ++connected) {
    const int error = jack_connect(client, jack_port_name(out), ports[connected]);
    if (error && error != EEXIST) {
      break;
    }
  }
  return connected == count;
}

bool
client_connect(jack_client_t *const client, jack_port_t *const out, const char *const type,
               const char *const pattern, const int count)
{
  bool done = false;
  for (int i = 0; !done && i < THERE; ++i) {
    const char **const ports = jack_get_ports(client, pattern, type, JackPortIsInput);
    done                     = all_connected(client, out, ports, count);
    jack_free((void *)ports);
    if (!done) {
      nap();
    }
  }
  return done;
}

void
client_say(const char *const word)
{
  puts(word);
  fflush(stdout);
}

void
client_stay(jack_client_t *const client)
{
  signal(SIGTERM, end);
  client_say("ready");
  while (!over) {
    nap();
  }
  jack_client_close(client);
}
