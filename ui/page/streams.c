/* SPDX-License-Identifier: ISC */
#include "ui/page/streams.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double fresh = 0.01; /* seconds for which an event is what it says */

bool
rl_streams_init(RlStreams *const streams, const int max)
{
  assert(max > 0);
  *streams = (RlStreams){.max = max, .stream = (RlStream *)calloc((size_t)max, sizeof(RlStream))};
  return streams->stream != NULL;
}

void
rl_streams_end(RlStreams *const streams)
{
  free(streams->stream);
  *streams = (RlStreams){0};
}

RlStream *
rl_streams_add(RlStreams *const streams, void *const owner, void *const context)
{
  assert(owner);
  for (int i = 0; i < streams->max; ++i) {
    if (!streams->stream[i].owner) {
      streams->stream[i] = (RlStream){.owner = owner, .context = context};
      ++streams->count;
      return &streams->stream[i];
    }
  }
  return NULL;
}

void
rl_streams_remove(RlStreams *const streams, RlStream *const stream)
{
  assert(stream->owner && streams->count > 0);
  stream->owner = NULL;
  --streams->count;
}

static void
event_write(RlStreams *const streams, const RlPageState *const state, const unsigned revision,
            const double now)
{
  char         json[RL_PAGE_STATE_JSON_SIZE];
  const size_t length = rl_page_state_write(state, now, json);
  streams->length =
    (size_t)snprintf(streams->text, sizeof(streams->text), "data: %.*s\n\n", (int)length, json);
  assert(streams->length < sizeof(streams->text));
  streams->revision = revision;
  streams->written  = now;
}

/* The first event of a stream says that a browser is to come back after 1 s. */
static void
event_begin(const RlStreams *const streams, RlStream *const stream)
{
  const char *const first = stream->revision ? "" : "retry: 1000\n";
  const size_t      more  = strlen(first);
  assert(more + streams->length <= sizeof(stream->text));
  memcpy(stream->text, first, more);
  memcpy(stream->text + more, streams->text, streams->length);
  stream->length   = more + streams->length;
  stream->at       = 0;
  stream->revision = streams->revision;
}

size_t
rl_streams_read(RlStreams *const streams, RlStream *const stream, const RlPageState *const state,
                const unsigned revision, const double now, char *const to, const size_t size)
{
  assert(revision > 0 && stream->at <= stream->length);
  if (stream->at == stream->length && stream->revision != revision) {
    if (streams->revision != revision || now - streams->written > fresh) {
      event_write(streams, state, revision, now);
    }
    event_begin(streams, stream);
  }
  const size_t part = stream->length - stream->at < size ? stream->length - stream->at : size;
  memcpy(to, stream->text + stream->at, part);
  stream->at += part;
  return part;
}
