/* SPDX-License-Identifier: ISC */
#include "core/capture/smf.h"

#include "core/chart/chart.h"

#include <math.h>
#include <string.h>

enum {
  HEAD        = 8, /* bytes before what a chunk holds */
  META        = 0xFF,
  SYSEX       = 0xF0,
  SYSEX_MORE  = 0xF7,
  META_NAME   = 0x03,
  META_END    = 0x2F,
  META_TEMPO  = 0x51,
  META_METER  = 0x58,
  META_KEY    = 0x59,
  TEMPO_PLAIN = 500000,
  PERCUSSION  = 9,
  BARS_MOST   = 126
};

static const uint64_t ticks_most = (uint64_t)1 << 40;

static bool
fail(RlSmfError *const error, const size_t at, const char *const reason)
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

/* A number of `size` bytes, the highest first. */
static uint32_t
number_at(const RlSmf *const s, const size_t at, const int size)
{
  uint32_t n = 0;
  for (int i = 0; i < size; ++i) {
    n = n << 8 | byte_at(s, at + (size_t)i);
  }
  return n;
}

/* A number of seven bits a byte, four bytes at most; moves `at` behind it. */
static bool
length_take(const RlSmf *const s, size_t *const at, const size_t end, uint32_t *const value)
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
    return d > 0 || fail(error, 12, "a quarter note of no ticks; save it anew");
  }
  const double rate = frames == 29 ? 30000.0 / 1001 : frames; /* 29 stands for 29.97 (RP-001) */
  if ((frames != 24 && frames != 25 && frames != 29 && frames != 30) || !(d & 255U)) {
    return fail(error, 12,
                "frames a second other than 24, 25, 29 or 30; save it with ticks a quarter note");
  }
  s->tick_seconds = 1 / rate / (d & 255U);
  return true;
}

/* Moves a track to its next event: takes the time before it. */
static bool
track_step(RlSmf *const s, const int t, RlSmfError *const error)
{
  uint32_t delta;
  if (s->track[t].at >=
      s->track[t].end) { /* it should end with a word of its own: many do without */
    s->track[t].over = true;
    return true;
  }
  if (!length_take(s, &s->track[t].at, s->track[t].end, &delta)) {
    return fail(error, s->track[t].at, "a time that does not end; the file is damaged");
  }
  s->track[t].ticks += delta;
  return s->track[t].ticks < ticks_most ||
         fail(error, s->track[t].at, "longer than any music; the file is damaged");
}

static bool
tracks_find(RlSmf *const s, size_t at, RlSmfError *const error)
{
  while (s->file.length - at >= HEAD) {
    const uint32_t length = number_at(s, at + 4, 4);
    const size_t   room   = s->file.length - at - HEAD;
    const size_t   size = length < room ? length : room; /* a cut file is read as far as it goes */
    if (!memcmp(s->file.at + at, "MTrk", 4)) {
      if (s->tracks == RL_SMF_TRACKS_MAX) {
        return fail(error, at, "more than 128 tracks; save fewer");
      }
      s->track[s->tracks].at    = at + HEAD;
      s->track[s->tracks++].end = at + HEAD + size;
    }
    at += HEAD + size;
  }
  for (int t = 0; t < s->tracks; ++t) {
    if (!track_step(s, t, error)) {
      return false;
    }
  }
  return s->tracks > 0 || fail(error, at, "no track in it; save it anew");
}

bool
rl_smf_open(RlSmf *const s, const RlSlice file, RlSmfError *const error)
{
  memset(s, 0, sizeof(*s));
  s->file  = file;
  s->tempo = TEMPO_PLAIN;
  if (file.length > RL_SMF_MAX) {
    return fail(error, RL_SMF_MAX, "longer than 4 MiB; save less of it");
  }
  if (file.length < 14 || memcmp(file.at, "MThd", 4) != 0) {
    return fail(error, 0, "no Standard MIDI File; save it as one (.mid)");
  }
  const uint32_t head = number_at(s, 4, 4);
  s->type             = (int)number_at(s, 8, 2);
  if (head < 6 || head > file.length - HEAD) {
    return fail(error, 4, "a head that is too short or too long; the file is damaged");
  }
  if (s->type > 1) {
    return fail(error, 8, "neither of type 0 nor of type 1; save it as one of them");
  }
  return division_read(s, error) && tracks_find(s, HEAD + head, error);
}

/* ---- events ---- */

static int
data_bytes(const uint8_t status)
{
  const int high = status >> 4;
  return high == 0xC || high == 0xD ? 1 : 2;
}

static bool
meta_take(RlSmf *const s, const int t, RlSmfEvent *const e, RlSmfError *const error)
{
  size_t *const at  = &s->track[t].at;
  const size_t  end = s->track[t].end;
  uint32_t      length;
  if (*at >= end) {
    return fail(error, *at, "an event that does not end; the file is damaged");
  }
  const uint8_t type = byte_at(s, (*at)++);
  if (!length_take(s, at, end, &length) || length > end - *at) {
    return fail(error, *at, "an event longer than its track; the file is damaged");
  }
  const size_t from = *at;
  *at += length;
  if (type == META_TEMPO && length >= 3 && number_at(s, from, 3)) {
    e->kind  = RL_SMF_TEMPO;
    e->value = number_at(s, from, 3);
  } else if (type == META_METER && length >= 2 && byte_at(s, from) && byte_at(s, from + 1) < 6) {
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
sysex_take(RlSmf *const s, const int t, RlSmfError *const error)
{
  uint32_t length;
  if (!length_take(s, &s->track[t].at, s->track[t].end, &length) ||
      length > s->track[t].end - s->track[t].at) {
    return fail(error, s->track[t].at, "a message longer than its track; the file is damaged");
  }
  s->track[t].at += length;
  return true;
}

static bool
midi_take(RlSmf *const s, const int t, const uint8_t status, RlSmfEvent *const e,
          RlSmfError *const error)
{
  size_t *const at    = &s->track[t].at;
  const int     count = data_bytes(status);
  if (s->track[t].end - *at < (size_t)count) {
    return fail(error, *at, "a message that does not end; the file is damaged");
  }
  e->kind     = RL_SMF_MIDI;
  e->size     = (uint8_t)(1 + count);
  e->bytes[0] = status;
  for (int i = 1; i <= count; ++i) {
    e->bytes[i] = byte_at(s, (*at)++);
    if (e->bytes[i] > 127) {
      return fail(error, *at - 1, "a message with a byte missing; the file is damaged");
    }
  }
  s->track[t].running = status;
  return true;
}

static bool
event_take(RlSmf *const s, const int t, RlSmfEvent *const e, RlSmfError *const error)
{
  size_t *const at = &s->track[t].at;
  if (*at >= s->track[t].end) {
    return fail(error, *at, "a time without an event behind it; the file is damaged");
  }
  const uint8_t first  = byte_at(s, *at);
  const uint8_t status = first < 128 ? s->track[t].running : first;
  *at += first >= 128;
  if (status >= 0xF0) {
    s->track[t].running = 0;
  }
  if (status == META) {
    return meta_take(s, t, e, error);
  }
  if (status == SYSEX || status == SYSEX_MORE) {
    return sysex_take(s, t, error);
  }
  if (status < 128 || status > 0xF0) {
    return fail(error, *at, "a byte that begins no message; the file is damaged");
  }
  return midi_take(s, t, status, e, error);
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
  if (!event_take(s, t, e, error) || (!s->track[t].over && !track_step(s, t, error))) {
    return -1;
  }
  s->tempo = e->kind == RL_SMF_TEMPO ? e->value : s->tempo;
  return 1;
}

/* ---- parts ---- */

static bool
note_on(const RlSmfEvent *const e)
{
  return e->kind == RL_SMF_MIDI && e->bytes[0] >> 4 == 0x9 && e->bytes[2] > 0;
}

static int
part_note(RlSmfPart *const part, const int count, const RlSmfEvent *const e, const RlSlice name)
{
  const uint8_t channel = e->bytes[0] & 0xF;
  int           i       = 0;
  while (i < count && (part[i].track != e->track || part[i].channel != channel)) {
    ++i;
  }
  if (i < count || i == RL_SMF_PARTS_MAX || channel == PERCUSSION) {
    return count;
  }
  part[i] = (RlSmfPart){(uint8_t)e->track, channel, name};
  return count + 1;
}

int
rl_smf_parts(const RlSlice file, RlSmfPart *const part, RlSmfError *const error)
{
  RlSmf      smf;
  RlSmfEvent e;
  RlSlice    name[RL_SMF_TRACKS_MAX] = {{"", 0}};
  int        count = 0, more = 0;
  if (!rl_smf_open(&smf, file, error)) {
    return -1;
  }
  while ((more = rl_smf_next(&smf, &e, error)) > 0) {
    if (e.kind == RL_SMF_NAME && !name[e.track].length) {
      name[e.track] = e.text;
    } else if (note_on(&e)) {
      count = part_note(part, count, &e, name[e.track]);
    }
  }
  return more < 0 ? -1 : count;
}

/* ---- a phrase ---- */

/* What a part is written down along: its meters as the bars of a chart, a tonic chord in each. */
typedef struct {
  RlText chart;
  double bar; /* quarters: where the last bar written ends */
  int    bars;
  int    beats, unit;
  RlKey  key;
  bool   has_key; /* the first one holds */
  bool   meters;  /* more than one */
  bool   full;    /* it is longer than there is room for */
} Song;

static void
meter_write(RlText *const text, const int beats, const int unit)
{
  rl_text_add_int(text, beats);
  rl_text_add(text, "/");
  rl_text_add_int(text, unit);
}

static void
bars_write(Song *const song, const double to)
{
  while (song->bars < BARS_MOST && song->bar < to) {
    rl_text_add(&song->chart, "| ");
    meter_write(&song->chart, song->beats, song->unit);
    rl_text_add(&song->chart, " I ");
    song->bar += song->beats * 4.0 / song->unit;
    ++song->bars;
  }
}

/* The key of a signature: sharps counted along the circle of fifths, A minor as C. */
static RlKey
key_of(const int sharps, const bool minor)
{
  const int major = rl_pitch_class(7 * sharps);
  return rl_key_named(minor ? rl_pitch_class(major + 9) : major, minor);
}

static void
song_hear(Song *const song, const RlSmfEvent *const e)
{
  if (e->kind == RL_SMF_METER && e->bytes[0] <= RL_BAR_BEATS_MAX) {
    song->meters = song->meters ||
                   (e->quarters > 0 && (e->bytes[0] != song->beats || e->bytes[1] != song->unit));
    bars_write(song, e->quarters - 1e-6);
    song->beats = e->bytes[0];
    song->unit  = e->bytes[1];
  } else if (e->kind == RL_SMF_KEY && !song->has_key) {
    song->key     = key_of(e->bytes[0] - 7, e->bytes[1]);
    song->has_key = true;
  }
}

static bool
song_read(Song *const song, RlForm *const form)
{
  char         head[64], name[RL_NAME_SIZE];
  RlText       text = rl_text_in(head, sizeof(head));
  RlText       key  = rl_text_in(name, sizeof(name));
  RlChartError error;
  rl_key_write(song->key, &key);
  rl_text_add(&text, "key: ");
  rl_text_add(&text, name);
  rl_text_add(&text, "\n");
  memmove(song->chart.to + text.used, song->chart.to,
          song->chart.used); /* there is room: see below */
  memcpy(song->chart.to, head, text.used);
  song->chart.used += text.used;
  rl_text_add(&song->chart, "|\n");
  return rl_chart_read((RlSlice){song->chart.to, song->chart.used}, form, &error);
}

/* Its last notes' bars and one more; the key's line fits before them: 126 bars are under 2 KiB. */
static bool
take_read(const RlSlice file, const RlSmfPart part, Song *const song, RlSmfWorkspace *const room,
          RlSmfError *const error)
{
  RlSmfEvent e;
  int        more;
  double     last = 0;
  rl_take_begin(&room->take);
  if (!rl_smf_open(&room->smf, file, error)) {
    return false;
  }
  while ((more = rl_smf_next(&room->smf, &e, error)) > 0) {
    song_hear(song, &e);
    if (e.kind == RL_SMF_MIDI && e.track == part.track && (e.bytes[0] & 0xF) == part.channel) {
      last = e.quarters;
      rl_take_midi(&room->take, e.quarters, e.bytes, e.size);
    }
  }
  rl_take_end(&room->take, last);
  bars_write(song, last);
  song->full = song->bar < last;
  bars_write(song, song->bar + 1e-6);
  return more == 0;
}

/* Quarters a minute while the part plays, taken as one. */
static double
tempo_of(const RlSlice file, const double from, const double to)
{
  RlSmf      smf;
  RlSmfEvent e;
  RlSmfError error;
  double     minutes = 0, at = 0;
  uint32_t   tempo = TEMPO_PLAIN;
  rl_smf_open(&smf, file, &error);
  while (rl_smf_next(&smf, &e, &error) > 0 && e.quarters <= to) {
    if (e.kind == RL_SMF_TEMPO) {
      minutes += fmax(0, e.quarters - fmax(at, from)) * tempo / 60e6;
      at    = e.quarters;
      tempo = e.value;
    }
  }
  minutes += fmax(0, to - fmax(at, from)) * tempo / 60e6;
  return to > from && minutes > 0 ? (to - from) / minutes : 60e6 / tempo;
}

/* Does the form count in the meter in which the file does, all the way? */
static bool
same_meter(const Song *const song, const RlForm *const form)
{
  bool same = !song->meters;
  for (int i = 0; same && i < form->bars + form->ending_bars; ++i) {
    same = form->bar[i].beats == song->beats && form->bar[i].unit == song->unit;
  }
  return same;
}

bool
rl_smf_phrase(const RlSlice file, const RlSmfPart part, const RlForm *const form, const RlKey key,
              RlSmfWorkspace *const room, RlSmfError *const error)
{
  Song song = {
    .chart = rl_text_in(room->chart, sizeof(room->chart)), .beats = 4, .unit = 4, .key = key};
  if (!take_read(file, part, &song, room, error)) {
    return false;
  }
  if (!room->take.notes) {
    return fail(error, 0, "no notes in this part; choose another");
  }
  if (song.full) {
    return fail(error, 0, "longer than 126 bars; save less of it");
  }
  const double from  = room->take.note[0].at;
  const double to    = room->take.note[room->take.notes - 1].ends;
  const double tempo = fmin(fmax(tempo_of(file, from, to), 10), 1000);
  const bool   along = form && same_meter(&song, form);
  if ((!along && !song_read(&song, &room->form)) ||
      !rl_notate(&room->take, along ? form : &room->form, along ? key : song.key, tempo,
                 &room->notate, &room->notated)) {
    return fail(error, 0, "nothing in it that could be written down");
  }
  return true;
}
