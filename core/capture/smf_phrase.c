/* SPDX-License-Identifier: ISC */
#include "core/capture/smf_reader.h"

#include "core/chart/chart.h"

#include <assert.h>
#include <math.h>
#include <string.h>

enum { BARS_MOST = 126 }; /* with a bar of pickup it still is a tune of at most 128 bars in ABC */

/* The form that a part is quantised along: the file's meters as the bars of a chart, a tonic chord
   in each. */
typedef struct {
  RlText chart;
  double bar; /* quarters: the end of the last bar written */
  int    bars;
  int    beats, unit;
  RlKey  key;
  bool   has_key; /* a key signature was read; the first one counts */
  bool   meters;  /* more than one */
  bool   full;    /* longer than BARS_MOST */
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

/* The key of a signature: `sharps` fifths above C, or above A if minor. */
static RlKey
key_of(const int sharps, const bool minor)
{
  const int major = rl_pitch_class(7 * sharps);
  return rl_key_named(minor ? rl_pitch_class(major + 9) : major, minor);
}

static void
song_event(Song *const song, const RlSmfEvent *const e)
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
  assert(song->chart.used + text.used < song->chart.size);
  memmove(song->chart.to + text.used, song->chart.to, song->chart.used);
  memcpy(song->chart.to, head, text.used);
  song->chart.used += text.used;
  rl_text_add(&song->chart, "|\n");
  return rl_chart_read((RlSlice){song->chart.to, song->chart.used}, form, &error);
}

/* Reads the part's notes into the take, and the bars up to the last of them and one more. 126 bars
   are under 2 KiB, so the line of the key fits into the chart too. */
static bool
part_read(const RlSlice file, const RlSmfPart part, Song *const song, RlSmfWorkspace *const w,
          RlSmfError *const error)
{
  RlSmfEvent e;
  int        more;
  double     last = 0;
  rl_take_begin(&w->take);
  if (!rl_smf_open(&w->smf, file, error)) {
    return false;
  }
  while ((more = rl_smf_next(&w->smf, &e, error)) > 0) {
    song_event(song, &e);
    if (e.kind == RL_SMF_MIDI && e.track == part.track && (e.bytes[0] & 0xF) == part.channel) {
      last = e.quarters;
      rl_take_midi(&w->take, e.quarters, e.bytes, e.size);
    }
  }
  rl_take_end(&w->take, last);
  bars_write(song, last);
  song->full = song->bar < last;
  bars_write(song, song->bar + 1e-6);
  return more == 0;
}

/* Quarters a minute: the mean while the part plays. */
static double
tempo_of(const RlSlice file, const double from, const double to)
{
  RlSmf      smf;
  RlSmfEvent e;
  RlSmfError error;
  double     minutes = 0, at = 0;
  uint32_t   tempo = RL_SMF_TEMPO_DEFAULT;
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

/* Has the form the meter of the file in every bar, and the file only one? */
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
              RlSmfWorkspace *const w, RlSmfError *const error)
{
  Song song = {.chart = rl_text_in(w->chart, sizeof(w->chart)), .beats = 4, .unit = 4, .key = key};
  assert(part.track < RL_SMF_TRACKS_MAX && part.channel < RL_TAKE_CHANNELS);
  if (!part_read(file, part, &song, w, error)) {
    return false;
  }
  if (!w->take.notes) {
    return rl_smf_fail(error, 0, "no notes in this part; choose another");
  }
  if (song.full) {
    return rl_smf_fail(error, 0, "longer than 126 bars; export less of it");
  }
  const double from  = w->take.note[0].at;
  const double to    = w->take.note[w->take.notes - 1].ends;
  const double tempo = fmin(fmax(tempo_of(file, from, to), 10), 1000);
  const bool   along = form && same_meter(&song, form);
  if ((!along && !song_read(&song, &w->form)) ||
      !rl_notate(&w->take, along ? form : &w->form, along ? key : song.key, tempo, &w->notate,
                 &w->notated)) {
    return rl_smf_fail(error, 0, "nothing in it that could be written down");
  }
  return true;
}
