/* SPDX-License-Identifier: ISC */
/* A JACK client that plays a recording for tests, along the transport and while that rolls:

     turntable NAME WAV PATTERN

   NAME     of the client
   WAV      mono, 16 bit, at the server's rate; it lies at the beginning of the transport
   PATTERN  of the audio inputs it connects itself to; waits until there are two, or one if it has
   no |

   Says "here" when the server has let it in, "ready" when connected; stays until it is ended.
   JACK_DEFAULT_SERVER says which server. */
#include "client.h"

#include <jack/transport.h>

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { HEAD = 44 /* bytes */ };

static int16_t       *tape;
static long           frames_in_all;
static jack_client_t *client;
static jack_port_t   *out;

static int
process(const jack_nframes_t frames, void *const data)
{
  jack_position_t position;
  float *const    to    = jack_port_get_buffer(out, frames);
  const bool      rolls = jack_transport_query(client, &position) == JackTransportRolling;
  (void)data;
  for (jack_nframes_t i = 0; i < frames; ++i) {
    const long at = (long)position.frame + i;
    to[i]         = rolls && at < frames_in_all ? (float)tape[at] / 32768 : 0;
  }
  return 0;
}

static bool
tape_load(const char *const path)
{
  FILE *const file = fopen(path, "rb");
  if (!file) {
    return false;
  }
  fseek(file, 0, SEEK_END);
  frames_in_all = (ftell(file) - HEAD) / (long)sizeof(int16_t);
  fseek(file, HEAD, SEEK_SET);
  tape = malloc((size_t)frames_in_all * sizeof(int16_t));
  const bool good =
    tape && fread(tape, sizeof(int16_t), (size_t)frames_in_all, file) == (size_t)frames_in_all;
  fclose(file);
  return good;
}

int
main(const int argc, char **const argv)
{
  if (argc != 4 || !tape_load(argv[2]) || !(client = client_open(argv[1]))) {
    return EXIT_FAILURE;
  }
  out = jack_port_register(client, "out", JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
  jack_set_process_callback(client, process, NULL);
  if (jack_activate(client)) {
    return EXIT_FAILURE;
  }
  client_say("here");
  if (!client_connect(client, out, JACK_DEFAULT_AUDIO_TYPE, argv[3],
                      strchr(argv[3], '|') ? 2 : 1)) {
    return EXIT_FAILURE;
  }
  client_stay(client);
  free(tape);
  return EXIT_SUCCESS;
}
