/* SPDX-License-Identifier: ISC */
/* Stands in for the ALSA sequencer of the kernel where there is none (containers have no /dev/snd):
   qtractor does not start without it. Preloaded, it answers what is asked of a sequencer with
   nobody else at it: ports and a queue can be had, nothing comes in, what goes out goes nowhere.
   The queue's tick is 0 for ever; qtractor takes its own.

   cc -shared -fPIC -o sequencer.so sequencer.c

   It is preloaded before libasound and has no use for its headers: all pointers are nobody's. */
#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <unistd.h>

typedef struct {
  int pipe[2]; /* never readable: nothing comes in */
  int ports;
} Sequencer;

#define IGNORED(name, parameters)                                                                  \
  int name parameters                                                                              \
  {                                                                                                \
    return 0;                                                                                      \
  }
#define NOBODY(name, parameters)                                                                   \
  int name parameters                                                                              \
  {                                                                                                \
    return -ENOENT;                                                                                \
  }

int
snd_seq_open(Sequencer **handle, const char *name, int streams, int mode)
{
  (void)name, (void)streams, (void)mode;
  Sequencer *const seq = (Sequencer *)calloc(1, sizeof(*seq));
  if (!seq || pipe(seq->pipe)) {
    free(seq);
    return -ENOMEM;
  }
  *handle = seq;
  return 0;
}

int
snd_seq_close(Sequencer *seq)
{
  close(seq->pipe[0]);
  close(seq->pipe[1]);
  free(seq);
  return 0;
}

int
snd_seq_client_id(Sequencer *seq)
{
  (void)seq;
  return 128;
}

int
snd_seq_create_simple_port(Sequencer *seq, const char *name, unsigned capabilities, unsigned type)
{
  (void)name, (void)capabilities, (void)type;
  return seq->ports++;
}

int
snd_seq_alloc_queue(Sequencer *seq)
{
  (void)seq;
  return 1;
}

int
snd_seq_poll_descriptors_count(Sequencer *seq, short events)
{
  (void)seq, (void)events;
  return 1;
}

int
snd_seq_poll_descriptors(Sequencer *seq, struct pollfd *fds, unsigned space, short events)
{
  if (space) {
    *fds = (struct pollfd){seq->pipe[0], (short)(events & POLLIN), 0};
  }
  return space ? 1 : 0;
}

int
snd_seq_event_input(Sequencer *seq, void **event)
{
  (void)seq;
  *event = NULL;
  return -EAGAIN;
}

#pragma GCC diagnostic ignored "-Wunused-parameter"
IGNORED(snd_seq_set_client_name, (Sequencer * seq, const char *name))
IGNORED(snd_seq_delete_simple_port, (Sequencer * seq, int port))
IGNORED(snd_seq_free_queue, (Sequencer * seq, int queue))
IGNORED(snd_seq_control_queue, (Sequencer * seq, int queue, int type, int value, void *event))
IGNORED(snd_seq_drain_output, (Sequencer * seq))
IGNORED(snd_seq_drop_input, (Sequencer * seq))
IGNORED(snd_seq_drop_output, (Sequencer * seq))
IGNORED(snd_seq_event_input_pending, (Sequencer * seq, int fetch))
IGNORED(snd_seq_event_output, (Sequencer * seq, void *event))
IGNORED(snd_seq_event_output_direct, (Sequencer * seq, void *event))
IGNORED(snd_seq_free_event, (void *event))
IGNORED(snd_seq_get_any_port_info, (Sequencer * seq, int client, int port, void *info))
IGNORED(snd_seq_get_port_info, (Sequencer * seq, int port, void *info))
IGNORED(snd_seq_set_port_info, (Sequencer * seq, int port, void *info))
IGNORED(snd_seq_get_queue_status, (Sequencer * seq, int queue, void *status))
IGNORED(snd_seq_get_queue_tempo, (Sequencer * seq, int queue, void *tempo))
IGNORED(snd_seq_set_queue_tempo, (Sequencer * seq, int queue, void *tempo))
IGNORED(snd_seq_set_queue_timer, (Sequencer * seq, int queue, void *timer))
IGNORED(snd_seq_remove_events, (Sequencer * seq, void *what))
IGNORED(snd_seq_subscribe_port, (Sequencer * seq, void *what))
IGNORED(snd_seq_unsubscribe_port, (Sequencer * seq, void *what))
NOBODY(snd_seq_get_any_client_info, (Sequencer * seq, int client, void *info))
NOBODY(snd_seq_get_port_subscription, (Sequencer * seq, void *what))
NOBODY(snd_seq_query_next_client, (Sequencer * seq, void *info))
NOBODY(snd_seq_query_next_port, (Sequencer * seq, void *info))
NOBODY(snd_seq_query_port_subscribers, (Sequencer * seq, void *what))
