/* SPDX-License-Identifier: ISC */
#include "core/chart/form.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>

_Static_assert(RL_CHART_MAX <= UINT16_MAX, "RlSpan counts bytes in 16 bits");
_Static_assert(RL_CHORDS_MAX <= UINT16_MAX, "so do bars and changes their chords");
_Static_assert(RL_SECTIONS_MAX <= UINT8_MAX, "RlBar.section has a value for none");
_Static_assert(RL_BAR_BEATS_MAX <= UINT8_MAX && RL_BAR_CHORDS_MAX <= UINT8_MAX,
               "RlBar counts them in 8 bits");

RlSlice
rl_form_text(const RlForm *const form, const RlSpan span)
{
  return (RlSlice){form->text + span.at, span.length};
}

RlKey
rl_form_key(const RlForm *const form, const int tonic)
{
  const bool own = tonic < 0 || tonic > 11 || tonic == rl_spelling_class(form->key.tonic);
  return own ? form->key : rl_key_named(tonic, form->key.minor);
}

static RlChord
chord_of(const RlForm *const form, const int change)
{
  return form->chord[form->change[change].chord].chord;
}

RlChord
rl_form_chord(const RlForm *const form, const int change)
{
  assert(change >= 0 && change < form->changes + form->ending_changes);
  return chord_of(form, change);
}

static double
bar_length(const RlBar *const bar, const RlAxis axis)
{
  return axis == RL_AXIS_BARS       ? 1.0
         : axis == RL_AXIS_QUARTERS ? bar->beats * 4.0 / bar->unit
                                    : rl_meter_felt(bar->beats, bar->unit);
}

static int
bars_in_all(const RlForm *const form)
{
  return form->bars + form->ending_bars;
}

static void
starts_fill(RlForm *const form)
{
  for (int axis = 0; axis < RL_AXES; ++axis) {
    form->starts[axis][0] = 0;
    for (int i = 0; i < bars_in_all(form); ++i) {
      form->starts[axis][i + 1] = form->starts[axis][i] + bar_length(&form->bar[i], (RlAxis)axis);
    }
  }
}

/* Lists the changes of bars `from` up to `to`; the first beat of these is always one. Returns how
   many there are then. */
static int
changes_fill(RlForm *const form, const int from, const int to, int count)
{
  for (int i = from; i < to; ++i) {
    RlBar *const bar = &form->bar[i];
    for (int k = 0; k < bar->chords; ++k) {
      const int  at    = bar->first_chord + k;
      const bool first = i == from && k == 0;
      if (first || !rl_chord_same(form->chord[at].chord, chord_of(form, count - 1))) {
        form->change[count++] = (RlChange){(uint16_t)i, (uint16_t)at, form->chord[at].beat};
      }
      if (k == 0) {
        bar->first_change = (uint16_t)(count - 1);
      }
    }
  }
  return count;
}

void
rl_form_finish(RlForm *const form)
{
  starts_fill(form);
  form->changes = (uint16_t)changes_fill(form, 0, form->bars, 0);
  form->ending_changes =
    (uint16_t)(changes_fill(form, form->bars, bars_in_all(form), form->changes) - form->changes);
}

/* ---- the place at a moment ---- */

/* The bar that bar `n` of the lead-in (from 0) has its meter from: one of the form, or bar 1. */
static const RlBar *
lead_in_bar(const RlForm *const form, const int n)
{
  return &form->bar[form->lead_in_from ? form->lead_in_from - 1 + n : 0];
}

double
rl_form_lead_in(const RlForm *const form, const RlAxis axis)
{
  double length = 0;
  for (int i = 0; i < form->lead_in; ++i) {
    length += bar_length(lead_in_bar(form, i), axis);
  }
  return length;
}

static RlPlace
place_in(const RlBar *const bar, const RlAxis axis, const double along)
{
  const double beats_per_step = bar->beats / bar_length(bar, axis);
  return (RlPlace){.index = -1,
                   .beat  = fmax(0, fmin(along * beats_per_step, nextafter(bar->beats, 0))),
                   .beats = bar->beats,
                   .unit  = bar->unit,
                   .beats_per_step = beats_per_step};
}

/* Before the lead-in there are bars like bar 1, counted down without end. A quotient that
   underflows to 0 belongs to the last of them too. */
static RlPlace
place_before(const RlForm *const form, const RlAxis axis, const double at)
{
  const double length = bar_length(form->bar, axis);
  const double bars   = fmin(floor(at / length), -1);
  RlPlace      place  = place_in(form->bar, axis, at - bars * length);
  place.part          = RL_PART_BEFORE;
  place.bar           = (int)fmax(bars - form->lead_in, -9999);
  return place;
}

static RlPlace
place_in_lead_in(const RlForm *const form, const RlAxis axis, double at)
{
  int n = 0;
  while (n + 1 < form->lead_in && at >= bar_length(lead_in_bar(form, n), axis)) {
    at -= bar_length(lead_in_bar(form, n++), axis);
  }
  RlPlace place = place_in(lead_in_bar(form, n), axis, at);
  place.part    = RL_PART_LEAD_IN;
  place.bar     = n - form->lead_in;
  place.index   = form->lead_in_from ? form->lead_in_from - 1 + n : -1;
  return place;
}

/* After the end there are bars like bar 1, so that a new start can find a bar line. */
static RlPlace
place_over(const RlForm *const form, const RlAxis axis, const double after)
{
  RlPlace place = place_in(form->bar, axis, fmod(after, bar_length(form->bar, axis)));
  place.part    = RL_PART_OVER;
  place.chorus  = form->choruses;
  return place;
}

/* The last bar that starts at or before `at`. */
static int
bar_at(const double *const starts, const int bars, const double at)
{
  int low = 0;
  for (int high = bars; high - low > 1;) {
    const int middle = (low + high) / 2;
    low              = starts[middle] <= at ? middle : low;
    high             = starts[middle] <= at ? high : middle;
  }
  return low;
}

static RlPlace
place_in_bars(const RlForm *const form, const RlAxis axis, const double at, const double choruses)
{
  const double *const starts = form->starts[axis];
  const double        ending = form->choruses ? at - starts[form->bars] * form->choruses : -1;
  const bool          over   = ending >= 0;
  const double along = over ? starts[form->bars] + ending : at - choruses * starts[form->bars];
  if (over && along >= starts[bars_in_all(form)]) {
    return place_over(form, axis, along - starts[bars_in_all(form)]);
  }
  const int bar   = bar_at(starts, over ? bars_in_all(form) : form->bars, along);
  RlPlace   place = place_in(&form->bar[bar], axis, along - starts[bar]);
  place.part      = over ? RL_PART_ENDING : RL_PART_CHORUS;
  place.chorus    = over ? form->choruses : (int)fmin(choruses + 1, 9999);
  place.bar       = bar + 1;
  place.index     = bar;
  return place;
}

static RlPlace
locate(const RlForm *const form, const RlAxis axis, const double at)
{
  const double lead_in = rl_form_lead_in(form, axis);
  return at < -lead_in ? place_before(form, axis, at + lead_in)
         : at < 0      ? place_in_lead_in(form, axis, at + lead_in)
                       : place_in_bars(form, axis, at, floor(at / form->starts[axis][form->bars]));
}

RlPlace
rl_form_locate(const RlForm *const form, const RlAxis axis, const double at, const double slack)
{
  assert(axis < RL_AXES && slack >= 0);
  RlPlace      place = locate(form, axis, at + slack);
  const double early = place.beat - slack * place.beats_per_step;
  place.beat         = fmax(early, floor(place.beat));
  return place;
}

double
rl_form_quarters(const RlForm *const form, const RlPlace *const place, const double beat)
{
  assert(place->part != RL_PART_NOWHERE && place->part != RL_PART_OVER);
  const double *const starts = form->starts[RL_AXIS_QUARTERS];
  const double        into   = place->unit ? beat * 4 / place->unit : 0;
  if (place->part == RL_PART_CHORUS || place->part == RL_PART_ENDING) {
    return (place->chorus - 1) * starts[form->bars] + starts[place->index] + into;
  }
  double left = 0; /* from the head of this bar to bar 1 */
  for (int bar = place->bar; bar < 0; ++bar) {
    const int n = bar + form->lead_in;
    left += bar_length(n < 0 ? form->bar : lead_in_bar(form, n), RL_AXIS_QUARTERS);
  }
  return into - left;
}

double
rl_form_nearest_bar(const RlForm *const form, const RlAxis axis, const double at)
{
  enum { STEPS = 8 }; /* every bar line of a meter over 32 or less is a multiple of an eighth */
  const RlPlace place = locate(form, axis, at);
  const double  beat  = place.beat * 2 > place.beats ? place.beat - place.beats : place.beat;
  return round((at - beat / place.beats_per_step) * STEPS) / STEPS;
}

/* ---- chords around a place ---- */

/* A bar that sounds: its part, chorus and number, and its index in the form. */
typedef struct {
  RlPart part;
  int    chorus, bar, index;
} Playing;

/* The bar after this one; index -1 and RL_PART_OVER when there is none. */
static Playing
following(const RlForm *const form, Playing p)
{
  ++p.bar;
  if (p.part == RL_PART_LEAD_IN || p.part == RL_PART_BEFORE) {
    const bool begins = p.bar == 0;
    const bool silent = !form->lead_in_from || p.bar < -form->lead_in;
    p.part            = begins ? RL_PART_CHORUS : RL_PART_LEAD_IN;
    p.index           = begins ? 0 : silent ? -1 : form->lead_in_from - 1 + p.bar + form->lead_in;
    p.bar             = begins ? 1 : p.bar;
    p.chorus          = begins;
    return p;
  }
  ++p.index;
  if (p.part == RL_PART_CHORUS && p.index == form->bars) {
    const bool last = form->choruses && p.chorus >= form->choruses;
    p.part          = last ? RL_PART_ENDING : RL_PART_CHORUS;
    p.index         = last ? form->bars : 0;
    p.bar           = p.index + 1;
    p.chorus += !last;
  }
  if (p.part == RL_PART_ENDING && p.index == bars_in_all(form)) {
    p.part  = RL_PART_OVER;
    p.index = -1;
  }
  return p;
}

/* The change in force on `beat` of a bar. */
static int
change_at(const RlForm *const form, const int index, const double beat)
{
  const int in_all = form->changes + form->ending_changes;
  int       now    = form->bar[index].first_change;
  while (now + 1 < in_all && form->change[now + 1].bar == index &&
         form->change[now + 1].beat <= beat) {
    ++now;
  }
  return now;
}

RlHarmony
rl_form_harmony(const RlForm *const form, const RlPlace *const place, const RlKey key)
{
  return place->index < 0
           ? (RlHarmony){0}
           : rl_harmony_of(rl_form_chord(form, change_at(form, place->index, place->beat)), key);
}

/* The first chord of the bar, from `beat` on, whose name is not that of `now`: its index among the
   form's chords, or -1. */
static int
other_chord(const RlForm *const form, const int index, const double beat, const RlChord *const now)
{
  const RlBar *const bar = &form->bar[index];
  for (int i = bar->first_chord; i < bar->first_chord + bar->chords; ++i) {
    if (form->chord[i].beat >= beat && (!now || !rl_chord_same(form->chord[i].chord, *now))) {
      return i;
    }
  }
  return -1;
}

static int
chorus_beats(const RlForm *const form)
{
  int beats = 0;
  for (int i = 0; i < form->bars; ++i) {
    beats += form->bar[i].beats;
  }
  return beats;
}

RlChordsAt
rl_form_chords_at(const RlForm *const form, const RlPlace *const place)
{
  RlChordsAt found = {-1, -1, 0};
  if (place->part == RL_PART_NOWHERE || place->part == RL_PART_OVER) {
    return found;
  }
  const bool    sounds = place->index >= 0;
  const RlChord now =
    sounds ? rl_form_chord(form, change_at(form, place->index, place->beat)) : (RlChord){0};
  const int most  = form->bars + bars_in_all(form) + form->lead_in + 1;
  const int empty = place->part == RL_PART_BEFORE ? -form->lead_in - 1 - place->bar : 0;
  Playing   p     = {place->part, place->chorus, place->bar + empty, place->index};
  double    beats = empty * form->bar[0].beats - place->beat;
  double    from  = floor(place->beat) + 1;
  found.now       = sounds ? change_at(form, place->index, place->beat) : -1;
  for (int i = 0; i <= most && p.part != RL_PART_OVER; ++i) {
    if (sounds && form->changes == 1 && p.part == RL_PART_CHORUS && p.index == 0 &&
        p.chorus < form->choruses) { /* choruses of one chord: on to the last */
      beats += (double)(form->choruses - p.chorus) * chorus_beats(form);
      p.chorus = form->choruses;
    }
    const int chord = p.index < 0 ? -1 : other_chord(form, p.index, from, sounds ? &now : NULL);
    if (chord >= 0) {
      found.next          = change_at(form, p.index, form->chord[chord].beat);
      found.beats_to_next = beats + form->chord[chord].beat;
      return found;
    }
    beats += p.index < 0 ? form->bar[0].beats : form->bar[p.index].beats;
    p    = following(form, p);
    from = 0;
  }
  return found;
}

/* ---- how long the chord has sounded ---- */

/* Felt beats from bar 1 to a beat of a bar. */
static double
felt_at(const RlForm *const form, const int index, const double beat)
{
  const RlBar *const bar = &form->bar[index];
  return form->starts[RL_AXIS_FELT][index] +
         beat * rl_meter_felt(bar->beats, bar->unit) / bar->beats;
}

/* Where the strain that sounds at a place (lead-in, chorus, ending) begins, as an index in bar. */
static int
strain_head(const RlForm *const form, const RlPlace *const place)
{
  return place->part == RL_PART_LEAD_IN  ? form->lead_in_from - 1
         : place->part == RL_PART_ENDING ? form->bars
                                         : 0;
}

/* Moves a place to the end of the strain before; its index is -1 where no bar sounds there. */
static void
strain_back(const RlForm *const form, RlPlace *const place)
{
  if (place->part == RL_PART_CHORUS) {
    --place->chorus;
  }
  const bool played = place->part == RL_PART_CHORUS && form->lead_in && form->lead_in_from;
  place->index      = place->chorus > 0 ? form->bars - 1
                      : played          ? form->lead_in_from + form->lead_in - 2
                                        : -1;
  place->part       = place->chorus > 0 ? RL_PART_CHORUS : RL_PART_LEAD_IN;
  place->beat       = RL_BAR_BEATS_MAX;
}

double
rl_form_felt_since_chord(const RlForm *const form, const RlPlace *const place)
{
  const double *const starts = form->starts[RL_AXIS_FELT];
  RlPlace             p      = *place;
  double              felts  = 0;
  double              end    = p.index < 0 ? 0 : felt_at(form, p.index, p.beat);
  for (int i = 0; i <= form->bars && p.index >= 0; ++i) {
    const int    change = change_at(form, p.index, p.beat);
    const double from   = starts[strain_head(form, &p)];
    const double began  = felt_at(form, form->change[change].bar, form->change[change].beat);
    felts += end - fmax(from, began);
    if (began > from) {
      break;
    }
    strain_back(form, &p);
    if (p.index < 0 ||
        !rl_chord_same(chord_of(form, change), chord_of(form, change_at(form, p.index, p.beat)))) {
      break;
    }
    end = starts[p.index + 1];
  }
  return felts;
}
