/* SPDX-License-Identifier: ISC */
#include "core/capture/smf.h"

#include "core/capture/smf_reader.h"

#include <string.h>

enum {
  CHUNK_HEAD  = 8, /* bytes: type and length */
  META        = 0xFF,
  SYSEX       = 0xF0,
  SYSEX_MORE  = 0xF7,
  META_NAME   = 0x03,
  META_END    = 0x2F,
  META_TEMPO  = 0x51,
  META_METER  = 0x58,
  META_KEY    = 0x59,
  METER_POWER = 5 /* of 2: note values up to a thirty-second, as in charts */
};

_Static_assert(RL_SMF_MAX == 4 << 20, "a message below names the number");
_Static_assert(RL_SMF_TRACKS_MAX == 128, "a message below names the number");

static const uint64_t ticks_most = (uint64_t)1 << 40;

bool
rl_smf_fail(RlSmfError *const error, const size_t at, const char *const reason)
{
  *error = (RlSmfError){at, reason};
  return false;
}

void
rl_smf_error_write(const RlSmfError *const error, RlText *const text)
{
  rl_text_add(text, "byte ");
  rl_text_add_int(text, (int64_t)error->at);
  rl_text_add(text, ": ");
  rl_text_add(text, error->reason);
}

/* ---- bytes ---- */

static uint8_t
byte_at(const RlSmf *const s, const size_t at)
{
  return (uint8_t)s->file.at[at];
}

/* A number of `size` bytes, the most significant first. */
static uint32_t
number_at(const RlSmf *const s, const size_t at, const int size)
{
  uint32_t n = 0;
  for (int i = 0; i < size; ++i) {
    n = n << 8 | byte_at(s, at + (size_t)i);
  }
  return n;
}

/* A variable-length quantity: seven bits a byte, four bytes at most. Moves `at` behind it. */
static bool
quantity_read(const RlSmf *const s, size_t *const at, const size_t end, uint32_t *const value)
{
  *value = 0;
  for (int i = 0; i < 4 && *at < end; ++i) {
    const uint8_t byte = byte_at(s, (*at)++);
    *value             = *value << 7 | (byte & 127U);
    if (byte < 128) {
      return true;
    }
  }
  return false;
}

/* ---- the file ---- */

static bool
division_read(RlSmf *const s, RlSmfError *const error)
{
  const uint32_t d      = number_at(s, 12, 2);
  const int      frames = 256 - (int)(d >> 8);
  if (!(d & 0x8000U)) {
    s->division = (int)d;
    return d > 0 || rl_smf_fail(error, 12, "a quarter note has 0 ticks; export the file again");
  }
  const double rate = frames == 29 ? 30000.0 / 1001 : frames; /* 29 stands for 29.97 (RP-001) */
  if ((frames != 24 && frames != 25 && frames != 29 && frames != 30) || !(d & 255U)) {
    return rl_smf_fail(
      error, 12, "a frame rate other than 24, 25, 29 or 30; export it with ticks per quarter note");
  }
  s->tick_seconds = 1 / rate / (d & 255U);
  return true;
}

/* Moves a track to its next event: reads the time before it. */
static bool
track_step(RlSmf *const s, const int t, RlSmfError *const error)
{
  uint32_t delta;
  if (s->track[t].at >= s->track[t].end) { /* many files have no end-of-track event */
    s->track[t].over = true;
    return true;
  }
  if (!quantity_read(s, &s->track[t].at, s->track[t].end, &delta)) {
    return rl_smf_fail(error, s->track[t].at,
                       "a delta time that does not end; the file is damaged");
  }
  s->track[t].ticks += delta;
  return s->track[t].ticks < ticks_most ||
         rl_smf_fail(error, s->track[t].at, "too long to be music; the file is damaged");
}

static bool
tracks_find(RlSmf *const s, size_t at, RlSmfError *const error)
{
  while (s->file.length - at >= CHUNK_HEAD) {
    const uint32_t length = number_at(s, at + 4, 4);
    const size_t   left   = s->file.length - at - CHUNK_HEAD;
    const size_t   size = length < left ? length : left; /* a cut file is read as far as it goes */
    if (!memcmp(s->file.at + at, "MTrk", 4)) {
      if (s->tracks == RL_SMF_TRACKS_MAX) {
        return rl_smf_fail(error, at, "more than 128 tracks; export fewer");
      }
      s->track[s->tracks].at    = at + CHUNK_HEAD;
      s->track[s->tracks++].end = at + CHUNK_HEAD + size;
    }
    at += CHUNK_HEAD + size;
  }
  for (int t = 0; t < s->tracks; ++t) {
    if (!track_step(s, t, error)) {
      return false;
    }
  }
  return s->tracks > 0 || rl_smf_fail(error, at, "no track in it; export the file again");
}

bool
rl_smf_open(RlSmf *const s, const RlSlice file, RlSmfError *const error)
{
  memset(s, 0, sizeof(*s));
  s->file  = file;
  s->tempo = RL_SMF_TEMPO_DEFAULT;
  if (file.length > RL_SMF_MAX) {
    return rl_smf_fail(error, RL_SMF_MAX, "larger than 4 MiB; export less of it");
  }
  if (file.length < 14 || memcmp(file.at, "MThd", 4) != 0) {
    return rl_smf_fail(error, 0, "not a Standard MIDI File; save it as one (.mid)");
  }
  const uint32_t head = number_at(s, 4, 4);
  s->type             = (int)number_at(s, 8, 2);
  if (head < 6 || head > file.length - CHUNK_HEAD) {
    return rl_smf_fail(error, 4, "a header that is too short or too long; the file is damaged");
  }
  if (s->type > 1) {
    return rl_smf_fail(error, 8, "unsupported type; save it as type 0 or 1");
  }
  return division_read(s, error) && tracks_find(s, CHUNK_HEAD + head, error);
}

/* ---- events ---- */

static int
data_bytes(const uint8_t status)
{
  const int high = status >> 4;
  return high == 0xC || high == 0xD ? 1 : 2;
}

static bool
meta_read(RlSmf *const s, const int t, RlSmfEvent *const e, RlSmfError *const error)
{
  size_t *const at  = &s->track[t].at;
  const size_t  end = s->track[t].end;
  uint32_t      length;
  if (*at >= end) {
    return rl_smf_fail(error, *at, "an event that does not end; the file is damaged");
  }
  const uint8_t type = byte_at(s, (*at)++);
  if (!quantity_read(s, at, end, &length) || length > end - *at) {
    return rl_smf_fail(error, *at, "an event longer than its track; the file is damaged");
  }
  const size_t from = *at;
  *at += length;
  if (type == META_TEMPO && length >= 3 && number_at(s, from, 3)) {
    e->kind  = RL_SMF_TEMPO;
    e->value = number_at(s, from, 3);
  } else if (type == META_METER && length >= 2 && byte_at(s, from) &&
             byte_at(s, from + 1) <= METER_POWER) {
    e->kind     = RL_SMF_METER;
    e->bytes[0] = byte_at(s, from);
    e->bytes[1] = (uint8_t)(1 << byte_at(s, from + 1));
  } else if (type == META_KEY && length >= 2 && (uint8_t)(byte_at(s, from) + 7) < 15 &&
             byte_at(s, from + 1) < 2) {
    e->kind     = RL_SMF_KEY;
    e->bytes[0] = (uint8_t)(byte_at(s, from) + 7);
    e->bytes[1] = byte_at(s, from + 1);
  } else if (type == META_NAME) {
    e->kind = RL_SMF_NAME;
    e->text = (RlSlice){s->file.at + from, length};
  }
  s->track[t].over = type == META_END;
  return true;
}

static bool
sysex_skip(RlSmf *const s, const int t, RlSmfError *const error)
{
  uint32_t length;
  if (!quantity_read(s, &s->track[t].at, s->track[t].end, &length) ||
      length > s->track[t].end - s->track[t].at) {
    return rl_smf_fail(error, s->track[t].at,
                       "a message longer than its track; the file is damaged");
  }
  s->track[t].at += length;
  return true;
}

static bool
message_read(RlSmf *const s, const int t, const uint8_t status, RlSmfEvent *const e,
             RlSmfError *const error)
{
  size_t *const at    = &s->track[t].at;
  const int     count = data_bytes(status);
  if (s->track[t].end - *at < (size_t)count) {
    return rl_smf_fail(error, *at, "a message that does not end; the file is damaged");
  }
  e->kind     = RL_SMF_MIDI;
  e->size     = (uint8_t)(1 + count);
  e->bytes[0] = status;
  for (int i = 1; i <= count; ++i) {
    e->bytes[i] = byte_at(s, (*at)++);
    if (e->bytes[i] > 127) {
      return rl_smf_fail(error, *at - 1, "a message with a byte missing; the file is damaged");
    }
  }
  s->track[t].running = status;
  return true;
}

static bool
event_read(RlSmf *const s, const int t, RlSmfEvent *const e, RlSmfError *const error)
{
  size_t *const at = &s->track[t].at;
  if (*at >= s->track[t].end) {
    return rl_smf_fail(error, *at, "a delta time with no event after it; the file is damaged");
  }
  const uint8_t first  = byte_at(s, *at);
  const uint8_t status = first < 128 ? s->track[t].running : first;
  *at += first >= 128;
  if (status >= 0xF0) {
    s->track[t].running = 0;
  }
  if (status == META) {
    return meta_read(s, t, e, error);
  }
  if (status == SYSEX || status == SYSEX_MORE) {
    return sysex_skip(s, t, error);
  }
  if (status < 128 || status > 0xF0) {
    return rl_smf_fail(error, *at, "a byte that starts no message; the file is damaged");
  }
  return message_read(s, t, status, e, error);
}

static int
first_track(const RlSmf *const s)
{
  int first = -1;
  for (int t = 0; t < s->tracks; ++t) {
    if (!s->track[t].over && (first < 0 || s->track[t].ticks < s->track[first].ticks)) {
      first = t;
    }
  }
  return first;
}

static void
time_pass(RlSmf *const s, const uint64_t ticks)
{
  const double passed = (double)(ticks - s->ticks);
  s->quarters += s->division ? passed / s->division : passed * s->tick_seconds * 1e6 / s->tempo;
  s->ticks = ticks;
}

int
rl_smf_next(RlSmf *const s, RlSmfEvent *const e, RlSmfError *const error)
{
  const int t = first_track(s);
  if (t < 0) {
    return 0;
  }
  time_pass(s, s->track[t].ticks);
  *e = (RlSmfEvent){.kind = RL_SMF_OTHER, .ticks = s->ticks, .quarters = s->quarters, .track = t};
  if (!event_read(s, t, e, error) || (!s->track[t].over && !track_step(s, t, error))) {
    return -1;
  }
  s->tempo = e->kind == RL_SMF_TEMPO ? e->value : s->tempo;
  return 1;
}
