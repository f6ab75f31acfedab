/* SPDX-License-Identifier: ISC */
#include "core/phrase/edit.h"

#include "core/meter/meter.h"
#include "core/phrase/sure.h"

#include <assert.h>
#include <string.h>

static bool
begins(const RlPhrase *const p, const int note)
{
  return note == 0 || p->note[note - 1].at != p->note[note].at;
}

int
rl_phrase_onsets(const RlPhrase *const p)
{
  int onsets = 0;
  for (int i = 0; i < p->notes; ++i) {
    onsets += begins(p, i);
  }
  return onsets;
}

int
rl_phrase_onset_first(const RlPhrase *const p, const int onset)
{
  assert(onset >= 0 && onset < rl_phrase_onsets(p));
  int left = onset;
  int i    = 0;
  while (!(begins(p, i) && left-- == 0)) {
    ++i;
  }
  return i;
}

static int
together(const RlPhrase *const p, const int note)
{
  int n = 1;
  while (note + n < p->notes && !begins(p, note + n)) {
    ++n;
  }
  return n;
}

/* Somebody has put these notes right. */
static void
put_right(RlPhrase *const p, const int first, const int count)
{
  uint8_t sure[RL_PHRASE_NOTES_MAX];
  if (rl_phrase_sure_read(p, sure)) {
    memset(sure + first, RL_SURE_WHOLE, (size_t)count);
    rl_phrase_sure_write(p, sure);
  }
}

/* ---- places ---- */

static int32_t
beat_of(const RlPhrase *const p)
{
  return rl_meter_compound(p->meter_beats, p->meter_unit) ? RL_TICKS * 12 / p->meter_unit
                                                          : RL_TICKS;
}

/* Is that many twelfths into a beat a place? */
static bool
is_place(const int twelfths, const bool dotted)
{
  return dotted ? twelfths % 2 == 0 : twelfths % 3 == 0 || twelfths % 4 == 0;
}

/* The next place before or behind `at`. */
static int32_t
place_from(const RlPhrase *const p, const int32_t at, const int by)
{
  const int32_t beat   = beat_of(p);
  const int32_t step   = beat / 12;
  const bool    dotted = beat != RL_TICKS;
  const int32_t down   = at - ((at % step) + step) % step;
  int32_t       place  = by < 0 && down < at ? down : down + by * step;
  while (!is_place((int)((((place % beat) + beat) % beat) / step), dotted)) {
    place += by * step;
  }
  return place;
}

/* ---- moving and removing ---- */

/* Assigns the chord each note is played over now; its pitch stays. */
static void
chords_find(RlPhrase *const p, const int from, const int count)
{
  for (int i = from; i < from + count; ++i) {
    RlPhraseNote *const n     = &p->note[i];
    const int           pitch = rl_phrase_pitch(p, n);
    int                 c     = 0;
    while (c + 1 < p->chords && p->chord[c + 1].at <= n->at) {
      ++c;
    }
    n->chord = (uint8_t)c;
    n->above = (int16_t)(n->above + pitch - rl_phrase_pitch(p, n));
  }
}

/* Notes that ended where the onset began, or last past its new place, end where it begins now. */
static void
ends_follow(RlPhrase *const p, const int before, const int32_t was, const int32_t at)
{
  for (int i = 0; i < before; ++i) {
    RlPhraseNote *const n = &p->note[i];
    if (n->at + n->lasts == was || n->at + n->lasts > at) {
      n->lasts = at - n->at;
    }
  }
}

bool
rl_phrase_onset_shift(RlPhrase *const p, const int onset, const int by)
{
  assert(by == 1 || by == -1);
  const int     first = rl_phrase_onset_first(p, onset);
  const int     count = together(p, first);
  const int32_t was   = p->note[first].at;
  const int32_t at    = place_from(p, was, by);
  const int32_t end   = was + p->note[first].lasts;
  if (at < -p->pickup || at >= end || (first && at <= p->note[first - 1].at)) {
    return false;
  }
  ends_follow(p, first, was, at);
  for (int i = first; i < first + count; ++i) {
    p->note[i].at    = at;
    p->note[i].lasts = end - at;
  }
  chords_find(p, first, count);
  put_right(p, first, count);
  return true;
}

bool
rl_phrase_onset_step(RlPhrase *const p, const int onset, const int by)
{
  const int first = rl_phrase_onset_first(p, onset);
  const int end   = first + together(p, first);
  for (int i = first; i < end; ++i) {
    const int pitch = rl_phrase_pitch(p, &p->note[i]) + by;
    if (pitch < 0 || pitch > 127) {
      return false;
    }
  }
  for (int i = first; i < end; ++i) {
    p->note[i].above = (int16_t)(p->note[i].above + by);
  }
  put_right(p, first, end - first);
  return true;
}

void
rl_phrase_onset_scoop(RlPhrase *const p, const int onset)
{
  const int first = rl_phrase_onset_first(p, onset);
  const int end   = first + together(p, first);
  for (int i = first; i < end; ++i) {
    p->note[i].articulation ^= RL_ARTICULATION_SCOOP;
  }
  put_right(p, first, end - first);
}

/* Nothing follows the last onset that could be slurred to. */
static void
last_slur_end(RlPhrase *const p)
{
  for (int i = rl_phrase_onset_first(p, rl_phrase_onsets(p) - 1); i < p->notes; ++i) {
    p->note[i].articulation &= (uint8_t)~RL_ARTICULATION_SLUR;
  }
}

bool
rl_phrase_onset_remove(RlPhrase *const p, const int onset)
{
  const int first = rl_phrase_onset_first(p, onset);
  const int count = together(p, first);
  uint8_t   sure[RL_PHRASE_NOTES_MAX];
  if (count == p->notes) {
    return false;
  }
  const bool known = rl_phrase_sure_read(p, sure);
  if (known) {
    memmove(sure + first, sure + first + count, (size_t)(p->notes - first - count));
  }
  memmove(&p->note[first], &p->note[first + count],
          (size_t)(p->notes - first - count) * sizeof(p->note[0]));
  p->notes = (uint16_t)(p->notes - count);
  rl_phrase_sure_write(p, known ? sure : NULL);
  last_slur_end(p);
  return true;
}
