/* SPDX-License-Identifier: ISC */
/* A JACK client of the tests: let in by a server that may be busy, connected to who may come later,
   there until it is ended. JACK_DEFAULT_SERVER says which server. */
#ifndef RL_TESTS_HOSTS_CLIENT_H
#define RL_TESTS_HOSTS_CLIENT_H

#include <jack/jack.h>

#include <stdbool.h>

/** Waits ten seconds at most: a busy machine keeps a server from answering at once. NULL if it does
    not. */
jack_client_t *client_open(const char *name);

/** Connects an output to the first `count` inputs of a type and pattern; waits half a minute at
   most until there are so many. */
bool client_connect(jack_client_t *client, jack_port_t *out, const char *type, const char *pattern,
                    int count);

/** Says a word on standard output. */
void client_say(const char *word);

/** Says "ready", waits for SIGTERM, and closes the client. */
void client_stay(jack_client_t *client);

#endif
