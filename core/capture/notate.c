/* SPDX-License-Identifier: ISC */
#include "core/capture/notate.h"

#include <assert.h>
#include <math.h>
#include <string.h>

_Static_assert((int)RL_TAKE_NOTES_MAX <= (int)RL_QUANTISE_NOTES_MAX, "a whole take is quantised");
_Static_assert((int)RL_TAKE_NOTES_MAX <= (int)RL_PHRASE_NOTES_MAX, "and fits into a phrase");

static const double slack      = 1.0 / RL_TICKS; /* quarters */
static const int    scoop_most = 3;              /* semitones from a crushed note up to the next */

/* ---- beats ---- */

static RlPlace
place_at(const RlForm *const form, const double quarters)
{
  return rl_form_locate(form, RL_AXIS_QUARTERS, quarters, slack);
}

/* The beat to count by: a dotted note in compound meters; else a quarter, or the meter's own note
   value where that is shorter. */
static RlGridBeat
beat_in(const RlPlace *const place)
{
  const bool thirds = rl_meter_felt(place->beats, place->unit) < place->beats;
  return (RlGridBeat){.length = thirds            ? 12.0 / place->unit
                                : place->unit > 4 ? 4.0 / place->unit
                                                  : 1,
                      .thirds = thirds};
}

static double
bar_quarters(const RlPlace *const place)
{
  return place->beats * 4.0 / place->unit;
}

/* The first beat of the bar that `quarters` lies in, in quarters. */
static double
bar_head(const RlForm *const form, const double quarters, RlPlace *const place)
{
  *place = place_at(form, quarters);
  return quarters - place->beat * 4.0 / place->unit;
}

static double
whole_ticks(const double quarters)
{
  return round(quarters * RL_TICKS) / RL_TICKS;
}

/* Beats from the bar before `from` to the end of the bar behind `to`, at most
   RL_QUANTISE_BEATS_MAX. Returns how many. */
static int
beats_fill(const RlForm *const form, const double from, const double to, RlGridBeat *const beat)
{
  RlPlace place;
  double  head = bar_head(form, from, &place);
  int     n    = 0;
  head         = bar_head(form, head - 2 * slack, &place);
  for (bool last = false; !last && n < RL_QUANTISE_BEATS_MAX;) {
    const double end = whole_ticks(head + bar_quarters(&place));
    RlGridBeat   b   = beat_in(&place);
    last             = head > to;
    for (b.at = whole_ticks(head); b.at < end - slack && n < RL_QUANTISE_BEATS_MAX;
         b.at += b.length) {
      beat[n]          = b;
      beat[n++].length = fmin(b.length, end - b.at);
    }
    head = bar_head(form, end, &place);
  }
  return n;
}

/* ---- onto the beats ---- */

/* Is note `i` crushed against the next one: shortly before it, from below, ended early, and not
   part of a run? */
static bool
crushes(const RlTake *const take, const int i, const double tempo)
{
  static const double least = 0.01 / 60, most = 0.065 / 60; /* minutes */
  if (i + 1 == take->notes) {
    return false;
  }
  const RlTakeNote *const n     = &take->note[i];
  const RlTakeNote *const next  = n + 1;
  const double            apart = next->at - n->at;
  const double            held  = next->ends - next->at;
  const int               up    = next->pitch - n->pitch;
  const bool              run   = i > 0 && n->at - n[-1].at < 1.8 * apart;
  return apart >= least * tempo && apart <= most * tempo && up > 0 && up <= scoop_most && !run &&
         held >= 2.2 * apart && n->ends <= next->at + held / 2;
}

/* The take's notes that begin before `to`, with `before` quarters subtracted from their times. A
   crushed note and the next become one note, which begins halfway between them. Returns how many.
 */
static int
notes_fill(const RlTake *const take, const double before, const double to, const double tempo,
           RlNotateWorkspace *const workspace, uint16_t *const scoops)
{
  int     n     = 0;
  double  early = 0;
  uint8_t scoop = 0;
  for (int i = 0; i < take->notes && take->note[i].at - before < to; ++i) {
    const RlTakeNote *const note = &take->note[i];
    if (crushes(take, i, tempo) && note[1].at - before < to) {
      early = (note[1].at - note->at) / 2;
      scoop = RL_ARTICULATION_SCOOP;
      ++*scoops;
      continue;
    }
    workspace->from[n]         = (uint16_t)i;
    workspace->articulation[n] = (uint8_t)(note->articulation | scoop);
    workspace->note[n++] =
      (RlGridNote){.at = note->at - early - before, .ends = fmin(note->ends - before, to)};
    early = 0;
    scoop = 0;
  }
  return n;
}

static int32_t
ticks_of(const RlNotateWorkspace *const workspace, const int beats, const RlGridPlace p)
{
  const RlGridBeat *const b  = &workspace->beat[p.beat < beats ? p.beat : beats - 1];
  const double            in = p.beat < beats ? (double)p.part / p.parts : 1;
  return (int32_t)lround((b->at + in * b->length) * RL_TICKS);
}

/* ---- chords ---- */

static RlChord
letter_chord(const RlSpelling root, const RlQuality quality)
{
  return (RlChord){.quality = quality, .root = {true, root.letter, root.alter}};
}

/* The chords under the notes, each from the beat it begins on; before the first, the triad on the
   tonic. */
static void
chords_fill(RlPhrase *const p, const RlForm *const form, const RlKey key,
            const RlNotateWorkspace *const workspace, const int beats, const int32_t bar)
{
  const RlSlice triad = rl_slice(key.minor ? "m" : "");
  p->chords           = 0;
  for (int b = 0; b < beats; ++b) {
    const int32_t   at    = (int32_t)lround(workspace->beat[b].at * RL_TICKS);
    const RlPlace   place = place_at(form, workspace->beat[b].at);
    const RlHarmony h     = rl_form_harmony(form, &place, key);
    const RlChord   chord = h.sounding ? letter_chord(h.root, h.quality)
                                       : letter_chord(key.tonic, rl_quality_find(triad));
    const bool      before =
      at - bar <= -p->pickup; /* of several before the first note the last one counts */
    if (at - bar >= p->lasts) {
      return;
    }
    if (p->chords && before) {
      p->chords = 0;
    }
    const bool other = !p->chords || !rl_chord_same(chord, p->chord[p->chords - 1].chord);
    if (other && (h.sounding || !p->chords) && p->chords < RL_PHRASE_CHORDS_MAX) {
      p->chord[p->chords++] = (RlPhraseChord){at - bar, chord};
    }
  }
}

static uint8_t
chord_under(const RlPhrase *const p, const int32_t at)
{
  int c = 0;
  while (c + 1 < p->chords && p->chord[c + 1].at <= at) {
    ++c;
  }
  return (uint8_t)c;
}

/* ---- the notes ---- */

typedef struct {
  const RlTake      *take;
  const RlForm      *form;
  RlKey              key;
  RlNotateWorkspace *workspace;
  int                notes, beats;
  int32_t            bar; /* ticks of the head of the phrase's bar */
  RlNotated         *out;
} Writing;

/* A note that the quantiser found crushed is a scoop of the next one, if it lies little below it.
 */
static void
crushed_count(const Writing *const w, const int i, uint8_t *const how)
{
  const int next   = i + 1 < w->notes ? w->take->note[w->workspace->from[i + 1]].pitch -
                                        w->take->note[w->workspace->from[i]].pitch
                                      : 0;
  *how             = next > 0 && next <= scoop_most ? RL_ARTICULATION_SCOOP : 0;
  w->out->scoops   = (uint16_t)(w->out->scoops + (*how != 0));
  w->out->left_out = (uint16_t)(w->out->left_out + (*how == 0));
}

/* Inserts a note; of notes at once the lowest comes first. Of two at the same pitch one is left
   out, of more than three the lowest. */
static void
note_put(const Writing *const w, const RlPhraseNote note, const int pitch, const uint16_t index,
         int *const pitches)
{
  RlPhrase *const p     = &w->out->phrase;
  uint16_t *const from  = w->out->from;
  int             first = p->notes;
  while (first > 0 && p->note[first - 1].at == note.at) {
    --first;
  }
  int at = p->notes;
  while (at > first && pitches[at - 1] > pitch) {
    --at;
  }
  const bool twice = at > first && pitches[at - 1] == pitch;
  const bool full  = p->notes - first == RL_PHRASE_TOGETHER;
  if (twice || (full && at == first)) {
    ++w->out->left_out;
    return;
  }
  if (full) { /* the lowest is left out */
    ++w->out->left_out;
    --at;
    memmove(&p->note[first], &p->note[first + 1], (size_t)(at - first) * sizeof(note));
    memmove(&pitches[first], &pitches[first + 1], (size_t)(at - first) * sizeof(pitch));
    memmove(&from[first], &from[first + 1], (size_t)(at - first) * sizeof(index));
  } else {
    memmove(&p->note[at + 1], &p->note[at], (size_t)(p->notes - at) * sizeof(note));
    memmove(&pitches[at + 1], &pitches[at], (size_t)(p->notes - at) * sizeof(pitch));
    memmove(&from[at + 1], &from[at], (size_t)(p->notes - at) * sizeof(index));
    ++p->notes;
  }
  p->note[at] = note;
  pitches[at] = pitch;
  from[at]    = index;
}

static void
notes_put(const Writing *const w)
{
  RlPhrase *const p = &w->out->phrase;
  int             pitches[RL_PHRASE_NOTES_MAX];
  uint8_t         scoop = 0;
  p->notes              = 0;
  for (int i = 0; i < w->notes; ++i) {
    const RlGridNote *const n  = &w->workspace->note[i];
    const RlTakeNote *const t  = &w->take->note[w->workspace->from[i]];
    const int32_t           at = ticks_of(w->workspace, w->beats, n->on) - w->bar;
    if (n->crushed) {
      crushed_count(w, i, &scoop);
      continue;
    }
    const RlPhraseNote note = {.at    = at,
                               .lasts = ticks_of(w->workspace, w->beats, n->off) - w->bar - at,
                               .articulation = (uint8_t)(w->workspace->articulation[i] | scoop)};
    note_put(w, note, t->pitch, w->workspace->from[i], pitches);
    scoop = 0;
  }
  for (int i = 0; i < p->notes; ++i) {
    RlPhraseNote *const n = &p->note[i];
    n->chord              = chord_under(p, n->at);
    n->above              = 0;
    n->above              = (int16_t)(pitches[i] - rl_phrase_pitch(p, n));
  }
}

/* ---- the phrase's bar ---- */

static int32_t
head_ticks(const RlForm *const form, const int32_t at, RlPlace *const place)
{
  return (int32_t)lround(bar_head(form, (double)at / RL_TICKS, place) * RL_TICKS);
}

static int32_t
bar_ticks(const RlPlace *const place)
{
  return (int32_t)lround(bar_quarters(place) * RL_TICKS);
}

/* The first bar line at or behind `to`, from the bar line at `head` on; and whether all bars
   between have one meter. Ticks. */
static int32_t
bars_end(const RlForm *const form, int32_t head, const int32_t to, bool *const one_meter)
{
  RlPlace first, place;
  head_ticks(form, head, &first);
  *one_meter = true;
  do {
    head_ticks(form, head, &place);
    *one_meter = *one_meter && place.beats == first.beats && place.unit == first.unit;
    head += bar_ticks(&place);
  } while (head < to);
  return head;
}

/* The bar the phrase stands on: that of its first note; or the next one, with a pickup, if the
   first note lies in the second half of its bar and others follow behind the bar line. The phrase
   lasts for whole bars. Where the form changes its meter in them, it has no meter and no pickup. */
static void
bars_tell(Writing *const w, const int32_t from, const int32_t last, const int32_t to,
          RlPlace *const own)
{
  RlPhrase *const p    = &w->out->phrase;
  const int32_t   head = head_ticks(w->form, from, own);
  const int32_t   next = head + bar_ticks(own);
  bool            one_meter;
  const int32_t   end  = bars_end(w->form, head, to, &one_meter);
  const bool      late = one_meter && 2 * (from - head) >= next - head && last >= next;
  w->bar               = late ? head_ticks(w->form, next, own) : head;
  p->pickup            = late ? w->bar - from : 0;
  p->lasts             = end - w->bar;
  p->meter_beats       = (uint8_t)(one_meter ? own->beats : 0);
  p->meter_unit        = (uint8_t)(one_meter ? own->unit : 0);
}

static void
place_tell(RlNotated *const out, const RlPlace *const place)
{
  const bool nowhere = place->index < 0;
  out->bar           = nowhere ? 1 : place->index + 1;
  out->chorus        = place->chorus;
  out->moved         = nowhere;
}

/* ---- the whole ---- */

/* Where the first and the last note with a place begin, and where all have ended, in ticks along
   the song. False if none has a place. */
static bool
span_find(const Writing *const w, int32_t *const from, int32_t *const last, int32_t *const to)
{
  bool any = false;
  *from = *last = *to = 0;
  for (int i = 0; i < w->notes; ++i) {
    const RlGridNote *const n = &w->workspace->note[i];
    if (!n->crushed) {
      const int32_t on  = ticks_of(w->workspace, w->beats, n->on);
      const int32_t off = ticks_of(w->workspace, w->beats, n->off);
      *from             = any ? *from : on;
      *last             = on;
      *to               = any && *to > off ? *to : off;
      any               = true;
    }
  }
  return any;
}

/* Whole choruses before the take, in quarters. Ticks are counted from there, so that they fit into
   32 bits however long the song has been playing. */
static double
choruses_before(const RlForm *const form, const double at)
{
  const double chorus = form->starts[RL_AXIS_QUARTERS][form->bars];
  return form->choruses || at < chorus ? 0 : floor(at / chorus - 1) * chorus;
}

bool
rl_notate(const RlTake *const take, const RlForm *const form, const RlKey key, const double tempo,
          RlNotateWorkspace *const workspace, RlNotated *const out)
{
  Writing w = {take, form, key, workspace, 0, 0, 0, out};
  int32_t from, last, to;
  RlPlace own;
  assert(tempo > 0);
  memset(out, 0, sizeof(*out));
  if (!take->notes) {
    return false;
  }
  const double before = choruses_before(form, take->note[0].at);
  w.beats = beats_fill(form, take->note[0].at - before, take->note[take->notes - 1].ends - before,
                       workspace->beat);
  const double end = workspace->beat[w.beats - 1].at + workspace->beat[w.beats - 1].length;
  w.notes          = notes_fill(take, before, end, tempo, workspace, &out->scoops);
  out->left_out    = (uint16_t)(take->too_many + take->notes - w.notes - out->scoops);
  rl_quantise(workspace->note, w.notes, workspace->beat, w.beats, tempo, &workspace->grid,
              &out->feel);
  if (!span_find(&w, &from, &last, &to)) {
    return false;
  }
  bars_tell(&w, from, last, to, &own);
  place_tell(out, &own);
  out->chorus += (int)lround(before / form->starts[RL_AXIS_QUARTERS][form->bars]);
  out->phrase.key   = key;
  out->phrase.mode  = key.minor ? 5 : 0;
  out->phrase.tempo = tempo;
  chords_fill(&out->phrase, form, key, workspace, w.beats, w.bar);
  notes_put(&w);
  return true;
}
