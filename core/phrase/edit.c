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
rl_phrase_onset_mark(RlPhrase *const p, const int onset, const RlArticulation how)
{
  const int first = rl_phrase_onset_first(p, onset);
  const int end   = first + together(p, first);
  for (int i = first; i < end; ++i) {
    p->note[i].articulation ^= (uint8_t)how;
  }
  put_right(p, first, end - first);
}

/* ---- notes come and go ---- */

/* Nothing follows the last onset that could be slurred to. */
static void
last_slur_end(RlPhrase *const p)
{
  for (int i = rl_phrase_onset_first(p, rl_phrase_onsets(p) - 1); i < p->notes; ++i) {
    p->note[i].articulation &= (uint8_t)~RL_ARTICULATION_SLUR;
  }
}

static void
notes_remove(RlPhrase *const p, const int first, const int count)
{
  uint8_t    sure[RL_PHRASE_NOTES_MAX];
  const bool known = rl_phrase_sure_read(p, sure);
  const int  rest  = p->notes - first - count;
  if (known) {
    memmove(sure + first, sure + first + count, (size_t)rest);
  }
  memmove(&p->note[first], &p->note[first + count], (size_t)rest * sizeof(p->note[0]));
  p->notes = (uint16_t)(p->notes - count);
  rl_phrase_sure_write(p, known ? sure : NULL);
  last_slur_end(p);
}

/* Copies `count` notes from `first` on to `place`, between two onsets; somebody wants them there.
 */
static void
notes_copy(RlPhrase *const p, const int first, const int count, const int place)
{
  RlPhraseNote copy[RL_PHRASE_TOGETHER];
  uint8_t      sure[RL_PHRASE_NOTES_MAX];
  const bool   known = rl_phrase_sure_read(p, sure);
  const int    rest  = p->notes - place;
  assert(count <= RL_PHRASE_TOGETHER && p->notes + count <= RL_PHRASE_NOTES_MAX);
  memcpy(copy, &p->note[first], (size_t)count * sizeof(copy[0]));
  memmove(&p->note[place + count], &p->note[place], (size_t)rest * sizeof(p->note[0]));
  memcpy(&p->note[place], copy, (size_t)count * sizeof(copy[0]));
  p->notes = (uint16_t)(p->notes + count);
  if (known) {
    memmove(sure + place + count, sure + place, (size_t)rest);
    memset(sure + place, RL_SURE_WHOLE, (size_t)count);
  }
  rl_phrase_sure_write(p, known ? sure : NULL);
}

bool
rl_phrase_onset_remove(RlPhrase *const p, const int onset)
{
  const int first = rl_phrase_onset_first(p, onset);
  const int count = together(p, first);
  if (count == p->notes) {
    return false;
  }
  notes_remove(p, first, count);
  return true;
}

/* ---- ends ---- */

/* Where the next onset begins, or the phrase ends. */
static int32_t
room_behind(const RlPhrase *const p, const int first)
{
  const int next = first + together(p, first);
  return next < p->notes ? p->note[next].at : p->lasts;
}

static void
length_set(RlPhrase *const p, const int first, const int32_t lasts)
{
  for (int i = first, end = first + together(p, first); i < end; ++i) {
    p->note[i].lasts = lasts;
  }
}

bool
rl_phrase_onset_stretch(RlPhrase *const p, const int onset, const int by)
{
  assert(by == 1 || by == -1);
  const int     first = rl_phrase_onset_first(p, onset);
  const int32_t at    = p->note[first].at;
  const int32_t was   = at + p->note[first].lasts;
  const int32_t room  = room_behind(p, first);
  const int32_t place = place_from(p, was, by);
  const int32_t end   = place > room ? room : place;
  if (end <= at || (end - was) * by <= 0) {
    return false;
  }
  length_set(p, first, end - at);
  put_right(p, first, together(p, first));
  return true;
}

/* ---- splitting and joining ---- */

/* Of the multiples of `step` inside a note the one nearest to its middle, of two the later; the
   note's own beginning where there is none. */
static int32_t
cut_on(const RlPhraseNote *const n, const int32_t step)
{
  const int32_t middle = n->at + n->lasts / 2;
  const int32_t before = middle - ((middle % step) + step) % step;
  const int32_t cut    = 2 * (middle - before) >= step ? before + step : before;
  return cut > n->at && cut < n->at + n->lasts ? cut : n->at;
}

/* On a beat if one lies inside, else on the largest part of it that the whole note is made of. */
static int32_t
cut_of(const RlPhrase *const p, const RlPhraseNote *const n)
{
  static const int parts[2][7] = {{2, 3, 4, 6, 8, 12}, {3, 6, 12}}; /* of a beat, of a dotted one */
  const int32_t    beat        = beat_of(p);
  const int *const part        = parts[beat != RL_TICKS];
  int32_t          cut         = cut_on(n, beat);
  for (int i = 0; part[i] && cut == n->at && n->lasts >= RL_TICKS / 4; ++i) {
    const int32_t step = beat / part[i];
    cut                = n->at % step || n->lasts % step ? cut : cut_on(n, step);
  }
  return cut;
}

/* What a note has at its end, and a part of it only where that end is. */
static const unsigned of_its_end = RL_ARTICULATION_SLUR | RL_ARTICULATION_FALL;

bool
rl_phrase_onset_split(RlPhrase *const p, const int onset)
{
  const int     first = rl_phrase_onset_first(p, onset);
  const int     count = together(p, first);
  const int32_t cut   = cut_of(p, &p->note[first]);
  const int32_t end   = p->note[first].at + p->note[first].lasts;
  if (cut == p->note[first].at || p->notes + count > RL_PHRASE_NOTES_MAX) {
    return false;
  }
  notes_copy(p, first, count, first + count);
  for (int i = first; i < first + count; ++i) {
    RlPhraseNote *const n = &p->note[i], *const rest = &p->note[i + count];
    n->lasts           = cut - n->at;
    n->articulation    = (uint8_t)(n->articulation & ~of_its_end);
    rest->at           = cut;
    rest->lasts        = end - cut;
    rest->articulation = (uint8_t)(rest->articulation & ~RL_ARTICULATION_SCOOP);
  }
  chords_find(p, first + count, count);
  put_right(p, first, 2 * count);
  return true;
}

bool
rl_phrase_onset_join(RlPhrase *const p, const int onset)
{
  const int first = rl_phrase_onset_first(p, onset);
  const int count = together(p, first);
  const int next  = first + count;
  if (next == p->notes) {
    return false;
  }
  const unsigned end = p->note[next].articulation & of_its_end;
  length_set(p, first, p->note[next].at + p->note[next].lasts - p->note[first].at);
  for (int i = first; i < next; ++i) {
    p->note[i].articulation = (uint8_t)((p->note[i].articulation & ~of_its_end) | end);
  }
  notes_remove(p, next, together(p, next));
  put_right(p, first, count);
  return true;
}

/* ---- inserting ---- */

/* A gap between `from` and `to`: a note of half a beat at its beginning or its end, or what there
   is. */
static bool
gap_fill(RlPhrase *const p, const int like, const int place, const int32_t from, const int32_t to,
         const bool at_end)
{
  const int32_t half  = beat_of(p) / 2;
  const int32_t lasts = to - from < half ? to - from : half;
  if (lasts <= 0 || p->notes == RL_PHRASE_NOTES_MAX) {
    return false;
  }
  notes_copy(p, like, 1, place);
  RlPhraseNote *const n = &p->note[place];
  n->at                 = at_end ? to - lasts : from;
  n->lasts              = lasts;
  n->articulation       = 0;
  chords_find(p, place, 1);
  return true;
}

int
rl_phrase_onset_insert(RlPhrase *const p, const int onset)
{
  const int           first  = rl_phrase_onset_first(p, onset);
  const int           behind = first + together(p, first);
  const RlPhraseNote *n      = &p->note[first];
  const int32_t       end    = n->at + n->lasts;
  const int32_t       before = first ? n[-1].at + n[-1].lasts : -p->pickup;
  if (gap_fill(p, first, behind, end, room_behind(p, first), false)) {
    return onset + 1;
  }
  if (gap_fill(p, first, first, before, n->at, true)) {
    return onset;
  }
  return rl_phrase_onset_split(p, onset) ? onset + 1 : -1;
}

/* ---- what is not sure ---- */

/* Is any note of that onset one that is perhaps none? */
static bool
perhaps(const RlPhrase *const p, const uint8_t *const sure, const int onset)
{
  const int first = rl_phrase_onset_first(p, onset);
  bool      any   = false;
  for (int i = first, end = first + together(p, first); i < end; ++i) {
    any = any || sure[i] < RL_SURE_PERHAPS;
  }
  return any;
}

bool
rl_phrase_onset_perhaps(const RlPhrase *const p, const int onset)
{
  uint8_t sure[RL_PHRASE_NOTES_MAX];
  return rl_phrase_sure_read(p, sure) && perhaps(p, sure, onset);
}

int
rl_phrase_onset_unsure(const RlPhrase *const p, const int onset)
{
  uint8_t   sure[RL_PHRASE_NOTES_MAX];
  const int onsets = rl_phrase_onsets(p);
  if (rl_phrase_sure_read(p, sure)) {
    for (int i = 1; i <= onsets; ++i) {
      if (perhaps(p, sure, (onset + i) % onsets)) {
        return (onset + i) % onsets;
      }
    }
  }
  return -1;
}

bool
rl_phrase_onset_accept(RlPhrase *const p, const int onset)
{
  const int first = rl_phrase_onset_first(p, onset);
  if (!rl_phrase_onset_perhaps(p, onset)) {
    return false;
  }
  put_right(p, first, together(p, first));
  return true;
}
