/* SPDX-License-Identifier: ISC */
/* A JACK client that plays MIDI for tests: every event at its frame of the transport, while that
   rolls.

     player PATTERN < EVENTS

   EVENTS  FRAME BYTE BYTE BYTE, a line each, in order of frames
   PATTERN of the MIDI input it connects itself to; waits until there is one

   Says "here" when the server has let it in, "ready" when connected; stays until it is ended. What
   lies before the place where the transport starts is left out. JACK_DEFAULT_SERVER says which
   server. */
#include "client.h"

#include <jack/midiport.h>
#include <jack/transport.h>

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { MOST = 1 << 16 };

typedef struct {
  uint64_t frame;
  uint8_t  bytes[3];
} Event;

static Event          event[MOST];
static int            events, next;
static jack_client_t *client;
static jack_port_t   *out;

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
  char name[32];
  if (argc != 2 || !events_read()) {
    fprintf(stderr, "player: see the head of player.c\n");
    return 2;
  }
  snprintf(name, sizeof(name), "player-%ld", (long)getpid());
  client = client_open(name);
  out =
    client ? jack_port_register(client, "out", JACK_DEFAULT_MIDI_TYPE, JackPortIsOutput, 0) : NULL;
  if (!out || jack_set_process_callback(client, process, NULL) || jack_activate(client)) {
    fprintf(stderr, "player: no JACK server\n");
    return 1;
  }
  client_say("here");
  if (!client_connect(client, out, JACK_DEFAULT_MIDI_TYPE, argv[1], 1)) {
    fprintf(stderr, "player: no such port\n");
    return 1;
  }
  client_stay(client);
  return 0;
}
