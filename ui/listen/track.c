/* SPDX-License-Identifier: ISC */
#include "ui/listen/track.h"

#include <math.h>
#include <stdlib.h>

enum { META = 0xFF, META_END = 0x2F, META_TEMPO = 0x51 };

static void
byte_add(RlTrack *const t, const unsigned byte)
{
  if (t->size == t->room && !t->broken) {
    const size_t   room  = 2 * t->room + 4096;
    uint8_t *const grown = realloc(t->bytes, room);
    t->broken            = !grown;
    t->bytes             = grown ? grown : t->bytes;
    t->room              = grown ? room : t->room;
  }
  if (!t->broken) {
    t->bytes[t->size++] = (uint8_t)byte;
  }
}

static void
length_add(RlTrack *const t, const uint32_t n)
{
  for (int shift = 28; shift > 0; shift -= 7) {
    if (n >> shift) {
      byte_add(t, (n >> shift & 127) | 128);
    }
  }
  byte_add(t, n & 127);
}

void
rl_track_event(RlTrack *const t, const uint8_t *const bytes, const size_t size)
{
  length_add(t, t->wait);
  t->wait = 0;
  for (size_t i = 0; i < size; ++i) {
    byte_add(t, bytes[i]);
  }
}

void
rl_track_meta(RlTrack *const t, const int type, const void *const bytes, const size_t size)
{
  const uint8_t head[2] = {META, (uint8_t)type};
  rl_track_event(t, head, sizeof(head));
  length_add(t, (uint32_t)size);
  for (size_t i = 0; i < size; ++i) {
    byte_add(t, ((const uint8_t *)bytes)[i]);
  }
}

double
rl_track_tempo(RlTrack *const t, const double seconds)
{
  const double   micros   = fmin(fmax(seconds * 1e6, 1), 16777215);
  const uint32_t tempo    = (uint32_t)lround(micros);
  const uint8_t  bytes[3] = {(uint8_t)(tempo >> 16), (uint8_t)(tempo >> 8), (uint8_t)tempo};
  rl_track_meta(t, META_TEMPO, bytes, sizeof(bytes));
  return tempo * 1e-6;
}

bool
rl_track_write(RlTrack *const t, FILE *const file)
{
  static const uint8_t head[] = {
    'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, 0, 0, 1, RL_TRACK_DIVISION >> 8, RL_TRACK_DIVISION & 255,
    'M', 'T', 'r', 'k'};
  rl_track_meta(t, META_END, NULL, 0);
  const uint8_t size[4] = {(uint8_t)(t->size >> 24), (uint8_t)(t->size >> 16),
                           (uint8_t)(t->size >> 8), (uint8_t)t->size};
  const bool    good    = !t->broken && fwrite(head, sizeof(head), 1, file) == 1 &&
                    fwrite(size, sizeof(size), 1, file) == 1 &&
                    fwrite(t->bytes, t->size, 1, file) == 1;
  free(t->bytes);
  *t = (RlTrack){0};
  return good;
}
