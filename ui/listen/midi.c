/* SPDX-License-Identifier: ISC */
/* A Standard MIDI File of type 0 with no notes: meters, a tempo for every felt beat, and markers
   where a chorus or a section begins. Bars that the recording breaks off, and what lies outside the
   form, become bars of as many beats as fit. Ardour takes markers from a track only that has
   channel messages: "all notes off" at its beginning and its end. */
#include "ui/listen/listen.h"

#include "core/meter/meter.h"
#include "ui/listen/track.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { META_MARKER = 6, META_METER = 0x58 };

typedef struct {
  RlTrack bytes;
  int     meter_beats, meter_unit;
  double  seconds; /* up to here, as the tempi written so far have it */
} Track;

static void
meta_add(Track *const t, const int type, const void *const bytes, const size_t size)
{
  rl_track_meta(&t->bytes, type, bytes, size);
}

static void
meter_add(Track *const t, const int beats, const int unit)
{
  const uint8_t bytes[4] = {(uint8_t)beats, (uint8_t)lround(log2(unit)), 24, 8};
  if (beats != t->meter_beats || unit != t->meter_unit) {
    meta_add(t, META_METER, bytes, sizeof(bytes));
  }
  t->meter_beats = beats;
  t->meter_unit  = unit;
}

/* A felt beat of `quarters` that ends at `end` seconds. */
static void
beat_add(Track *const t, const double quarters, const double end)
{
  t->seconds += quarters * rl_track_tempo(&t->bytes, (end - t->seconds) / quarters);
  t->bytes.wait = (uint32_t)lround(quarters * RL_TRACK_DIVISION);
}

/* Quarters in a felt beat. */
static double
felt_quarters(const RlBar *const bar)
{
  return 4.0 * bar->beats / bar->unit / rl_meter_felt(bar->beats, bar->unit);
}

/* Bars of the form's first meter, of even beats, from here to `end`. */
static void
outside_add(Track *const t, const RlForm *const form, const double end, const double beat)
{
  const RlBar *const bar      = &form->bar[0];
  const int          felt     = (int)lround(rl_meter_felt(bar->beats, bar->unit));
  int                left     = (int)fmax(1, round((end - t->seconds) / beat));
  const double       quarters = felt_quarters(bar);
  while (left > 0) {
    const int now = left < 2 * felt ? left : felt;
    meter_add(t, now * bar->beats / felt, bar->unit);
    for (int i = 0; i < now; ++i, --left) {
      beat_add(t, quarters, t->seconds + (end - t->seconds) / left);
    }
  }
}

static void
markers_add(Track *const t, const RlForm *const form, const RlFoundBeat *const beat)
{
  char       words[160];
  RlText     text    = rl_text_in(words, sizeof(words));
  const int  section = form->bar[beat->bar - 1].section;
  const bool begins =
    section < form->sections && (beat->bar == 1 || form->bar[beat->bar - 2].section != section);
  if (beat->bar == 1) {
    rl_text_add(&text, "chorus ");
    rl_text_add_int(&text, beat->chorus);
  }
  if (begins) {
    rl_text_add(&text, beat->bar == 1 ? ": " : "");
    rl_text_add_slice(&text, rl_form_text(form, form->section[section]));
  }
  if (text.used) {
    meta_add(t, META_MARKER, words, text.used);
  }
}

static bool
follows(const RlFoundBeat *const a, const RlFoundBeat *const b, const double beat)
{
  return b->seconds - a->seconds < 1.6 * beat;
}

/* How many beats from `at` on are of its bar without a break. */
static int
bar_count(const RlFound *const found, const int at, const double beat)
{
  int n = 1;
  while (at + n < found->beats && found->beat[at + n].bar == found->beat[at].bar &&
         found->beat[at + n].beat == found->beat[at].beat + n &&
         follows(&found->beat[at + n - 1], &found->beat[at + n], beat)) {
    ++n;
  }
  return n;
}

static void
bars_add(Track *const t, const RlForm *const form, const RlFound *const found)
{
  const double beat = 60 / found->tempo;
  for (int at = 0; at < found->beats;) {
    const RlFoundBeat *const first = &found->beat[at];
    const RlBar *const       bar   = &form->bar[first->bar - 1];
    const int                felt  = (int)lround(rl_meter_felt(bar->beats, bar->unit)),
              n                    = bar_count(found, at, beat);
    if (first->seconds - t->seconds > 0.3 * beat) {
      outside_add(t, form, first->seconds, beat);
    }
    meter_add(t, n * bar->beats / felt, bar->unit);
    if (first->beat == 1) {
      markers_add(t, form, first);
    }
    for (int i = at; i < at + n; ++i) {
      const bool next = i + 1 < found->beats && follows(&found->beat[i], &found->beat[i + 1], beat);
      beat_add(t, felt_quarters(bar),
               next ? found->beat[i + 1].seconds : found->beat[i].seconds + beat);
    }
    at += n;
  }
}

bool
rl_listen_midi(FILE *const file, const RlForm *const form, const RlFound *const found)
{
  static const uint8_t all_off[] = {0xB0, 123, 0};
  Track                t         = {.bytes = {0}};
  rl_track_event(&t.bytes, all_off, sizeof(all_off));
  bars_add(&t, form, found);
  rl_track_event(&t.bytes, all_off, sizeof(all_off));
  return rl_track_write(&t.bytes, file);
}
