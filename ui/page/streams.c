/* SPDX-License-Identifier: ISC */
#include "ui/page/streams.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

RlStream *
rl_streams_add(RlStreams *const streams, void *const owner, void *const context)
{
  assert(owner);
  for (int i = 0; i < RL_STREAMS_MAX; ++i) {
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

/* The state as an event; the first one of a stream says that a browser is to come back after 1 s.
 */
static void
stream_compose(RlStream *const stream, const RlPageState *const state, const unsigned revision,
               const double now)
{
  char              json[RL_PAGE_STATE_JSON_SIZE];
  const size_t      length = rl_page_state_write(state, now, json);
  const char *const first  = stream->revision ? "" : "retry: 1000\n";
  stream->length = (size_t)snprintf(stream->text, sizeof(stream->text), "%sdata: %.*s\n\n", first,
                                    (int)length, json);
  assert(stream->length < sizeof(stream->text));
  stream->at       = 0;
  stream->revision = revision;
}

size_t
rl_stream_read(RlStream *const stream, const RlPageState *const state, const unsigned revision,
               const double now, char *const to, const size_t size)
{
  assert(revision > 0 && stream->at <= stream->length);
  if (stream->at == stream->length && stream->revision != revision) {
    stream_compose(stream, state, revision, now);
  }
  const size_t part = stream->length - stream->at < size ? stream->length - stream->at : size;
  memcpy(to, stream->text + stream->at, part);
  stream->at += part;
  return part;
}
