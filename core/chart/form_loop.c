/* SPDX-License-Identifier: ISC */
#include "core/chart/form_loop.h"

#include <math.h>

static const double snap = 1e-6; /* of a bar or a quarter: rounding */

/* Beats of the meters' own between two places along the axis. */
static double
beats_between(const RlForm *const form, const RlAxis axis, double from, const double to)
{
  double beats = 0;
  for (int bars = 0; bars <= 2 * RL_BARS_MAX && to - from > snap; ++bars) {
    const RlPlace p    = rl_form_locate(form, axis, from, snap);
    const double  step = fmin(to - from, (p.beats - p.beat) / p.beats_per_step);
    beats += step * p.beats_per_step;
    from += step;
  }
  return beats;
}

static int
bar_of(const RlForm *const form, const RlChordsAt chords)
{
  return chords.next < 0 ? -1 : form->change[chords.next].bar;
}

RlChordsAt
rl_form_loop_chords(const RlForm *const form, const RlFormLoop *const loop, const double at,
                    const double near, const RlChordsAt along, int *const bar)
{
  const double     left  = beats_between(form, loop->axis, at, loop->to);
  const double     whole = beats_between(form, loop->axis, loop->from, loop->to);
  const RlPlace    start = rl_form_locate(form, loop->axis, loop->from, snap);
  const RlChordsAt first = rl_form_chords_at(form, &start);
  const double     part  = near * start.beats_per_step; /* of a beat: none changes within */
  if (along.next >= 0 && along.beats_to_next < left - part) {
    *bar = bar_of(form, along);
    return along;
  }
  const bool another =
    first.now >= 0 && (along.now < 0 || !rl_chord_same(rl_form_chord(form, first.now),
                                                       rl_form_chord(form, along.now)));
  if (another) {
    *bar = start.index; /* the chord may have begun before the loop does */
    return (RlChordsAt){along.now, first.now, left};
  }
  const RlChordsAt again = first.next >= 0 && first.beats_to_next < whole - part
                             ? (RlChordsAt){along.now, first.next, left + first.beats_to_next}
                             : (RlChordsAt){along.now, -1, 0};
  *bar                   = bar_of(form, again);
  return again;
}

double
rl_form_bars_to(const RlForm *const form, const RlPlace *const place)
{
  const double bar =
    place->chorus > 0 ? (double)(place->chorus - 1) * form->bars + place->index : place->bar;
  return bar + place->beat / place->beats;
}
