/* SPDX-License-Identifier: ISC */
#include "ui/page/streams.h"

#include <stdio.h>
#include <string.h>

RlStream *
rl_streams_enter(RlStreams *const r, void *const whose, void *const with)
{
  for (int i = 0; i < RL_STREAMS_MAX; ++i) {
    if (!r->reader[i].whose) {
      r->reader[i] = (RlStream){.whose = whose, .with = with};
      ++r->count;
      return &r->reader[i];
    }
  }
  return NULL;
}

void
rl_streams_leave(RlStreams *const r, RlStream *const reader)
{
  reader->whose = NULL;
  --r->count;
}

static void
reader_compose(RlStream *const r, const RlPageState *const heard, const unsigned news,
               const double now)
{
  char              json[RL_PAGE_STATE_JSON];
  const size_t      length = rl_page_state_write(heard, now, json);
  const char *const first  = r->seen ? "" : "retry: 1000\n";
  r->length =
    (size_t)snprintf(r->text, sizeof(r->text), "%sdata: %.*s\n\n", first, (int)length, json);
  r->at   = 0;
  r->seen = news;
}

size_t
rl_stream_next(RlStream *const r, const RlPageState *const heard, const unsigned news,
               const double now, char *const to, const size_t room)
{
  if (r->at == r->length && r->seen != news) {
    reader_compose(r, heard, news, now);
  }
  const size_t part = r->length - r->at < room ? r->length - r->at : room;
  memcpy(to, r->text + r->at, part);
  r->at += part;
  return part;
}
