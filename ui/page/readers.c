#include "readers.h"

#include <stdio.h>
#include <string.h>

RlReader *
rl_readers_enter(RlReaders *const r, void *const whose, void *const with)
{
  for (int i = 0; i < RL_READERS_MAX; ++i) {
    if (!r->reader[i].whose) {
      r->reader[i] = (RlReader){.whose = whose, .with = with};
      ++r->count;
      return &r->reader[i];
    }
  }
  return NULL;
}

void
rl_readers_leave(RlReaders *const r, RlReader *const reader)
{
  reader->whose = NULL;
  --r->count;
}

static void
reader_compose(RlReader *const r, const RlHeard *const heard, const unsigned news, const double now)
{
  char              json[RL_HEARD_JSON];
  const size_t      length = rl_heard_write(heard, now, json);
  const char *const first  = r->seen ? "" : "retry: 1000\n";
  r->length =
    (size_t)snprintf(r->text, sizeof(r->text), "%sdata: %.*s\n\n", first, (int)length, json);
  r->at   = 0;
  r->seen = news;
}

size_t
rl_reader_take(RlReader *const r, const RlHeard *const heard, const unsigned news, const double now,
               char *const to, const size_t room)
{
  if (r->at == r->length && r->seen != news) {
    reader_compose(r, heard, news, now);
  }
  const size_t part = r->length - r->at < room ? r->length - r->at : room;
  memcpy(to, r->text + r->at, part);
  r->at += part;
  return part;
}
