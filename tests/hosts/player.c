/* SPDX-License-Identifier: ISC */
/* A JACK client that plays MIDI for tests: every event at its frame of the transport, while that
   rolls.

     player PATTERN < EVENTS

   EVENTS  FRAME BYTE BYTE BYTE, a line each, in order of frames
   PATTERN of the MIDI input it connects itself to; waits until there is one

   Says "ready" when connected; stays until it is ended. What lies before the place where the
   transport starts is left out. JACK_DEFAULT_SERVER says which server. */
#include <jack/jack.h>
#include <jack/midiport.h>
#include <jack/transport.h>

#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

enum { MOST = 1 << 16, PATIENCE = 300 /* tenths of a second */ };

typedef struct {
  uint64_t frame;
  uint8_t  bytes[3];
} Event;

static Event          event[MOST];
static int            events, next;
static jack_client_t *client;
static jack_port_t   *out;

static volatile sig_atomic_t over;

static void
end(const int number)
{
  (void)number;
  over = 1;
}

static int
process(const jack_nframes_t frames, void *const data)
{
  jack_position_t position;
  void *const     buffer = jack_port_get_buffer(out, frames);
  (void)data;
  jack_midi_clear_buffer(buffer);
  if (jack_transport_query(client, &position) != JackTransportRolling) {
    return 0;
  }
  while (next < events && event[next].frame < position.frame) {
    ++next;
  }
  for (; next < events && event[next].frame < position.frame + frames; ++next) {
    jack_midi_event_write(buffer, (jack_nframes_t)(event[next].frame - position.frame),
                          event[next].bytes, 3);
  }
  return 0;
}

static void
nap(void)
{
  nanosleep(&(struct timespec){0, 100000000}, NULL);
}

static bool
connect_to(const char *const pattern)
{
  for (int i = 0; i < PATIENCE; ++i, nap()) {
    const char **const ports =
      jack_get_ports(client, pattern, JACK_DEFAULT_MIDI_TYPE, JackPortIsInput);
    const bool done = ports && !jack_connect(client, jack_port_name(out), ports[0]);
    jack_free((void *)ports);
    if (done) {
      return true;
    }
  }
  return false;
}

/* Waits for the server: a busy machine keeps it from answering at once. */
static jack_client_t *
client_open(void)
{
  char           name[32];
  jack_client_t *j = NULL;
  snprintf(name, sizeof(name), "player-%ld", (long)getpid());
  for (int i = 0; !j && i < PATIENCE / 3; ++i) {
    j = jack_client_open(name, JackNoStartServer | JackUseExactName, NULL);
    if (!j) {
      nap();
    }
  }
  return j;
}

static bool
events_read(void)
{
  unsigned long long frame;
  unsigned           bytes[3];
  while (events < MOST && scanf("%llu %u %u %u", &frame, &bytes[0], &bytes[1], &bytes[2]) == 4) {
    event[events++] = (Event){frame, {(uint8_t)bytes[0], (uint8_t)bytes[1], (uint8_t)bytes[2]}};
  }
  return events > 0 && feof(stdin);
}

int
main(const int argc, char **const argv)
{
  if (argc != 2 || !events_read()) {
    fprintf(stderr, "player: see the head of player.c\n");
    return 2;
  }
  signal(SIGTERM, end);
  client = client_open();
  out =
    client ? jack_port_register(client, "out", JACK_DEFAULT_MIDI_TYPE, JackPortIsOutput, 0) : NULL;
  if (!out || jack_set_process_callback(client, process, NULL) || jack_activate(client) ||
      !connect_to(argv[1])) {
    fprintf(stderr, "player: no JACK server, or no such port\n");
    return 1;
  }
  puts("ready");
  fflush(stdout);
  while (!over) {
    nap();
  }
  jack_client_close(client);
  return 0;
}
