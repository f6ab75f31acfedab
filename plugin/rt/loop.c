/* SPDX-License-Identifier: ISC */
#include "plugin/rt/loop.h"

#include <math.h>

static const double snap = 1e-6; /* of a bar or a quarter: rounding */

void
rl_loop_jump(RlLoop *const l, const double before, const RlLoopPlace *const place)
{
  const double length = before - place->at;
  const bool   again  = l->rounds > 0 && l->axis == place->axis &&
                     fabs(length - l->length) < place->near &&
                     fabs(place->at - l->from) < place->near;
  if (length <= 0) {
    l->rounds = 0;
  } else if (again) {
    l->rounds += l->rounds < 2;
    l->from = fmin(l->from, place->at);
  } else {
    *l = (RlLoop){1, place->axis, place->at, length};
  }
}

void
rl_loop_pass(RlLoop *const l, const RlLoopPlace *const place)
{
  const bool inside = l->axis == place->axis && place->at > l->from - place->near &&
                      place->at < l->from + l->length + 2 * place->near;
  l->rounds = inside ? l->rounds : 0;
}

bool
rl_loop_holds(const RlLoop *const l, const RlLoopPlace *const place)
{
  return l->rounds > 1 && l->axis == place->axis && place->at > l->from - place->near &&
         place->at < l->from + l->length - snap;
}

/* Beats of the meters' own between two places, counted from bar 1 along the axis. */
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

/* Where the loop begins and ends, counted from bar 1. The first report of a round comes up to a
   block late, and loops begin on beats. */
typedef struct {
  double begin, end;
} Span;

static Span
span_of(const RlLoop *const l, const RlForm *const form, const RlLoopPlace *const place)
{
  const double  from  = l->from - place->bar_one;
  const RlPlace start = rl_form_locate(form, l->axis, from, snap);
  const double  late  = (start.beat - floor(start.beat)) / start.beats_per_step;
  const double  begin = from - (late < place->near ? late : 0);
  return (Span){begin, begin + l->length};
}

RlChordsAt
rl_loop_chords(const RlLoop *const l, const RlForm *const form, const RlLoopPlace *const place,
               const RlChordsAt along)
{
  const Span       span  = span_of(l, form, place);
  const double     left  = beats_between(form, l->axis, place->at - place->bar_one, span.end);
  const double     whole = beats_between(form, l->axis, span.begin, span.end);
  const RlPlace    start = rl_form_locate(form, l->axis, span.begin, snap);
  const RlChordsAt first = rl_form_chords_at(form, &start);
  const double     part  = place->near * start.beats_per_step; /* of a beat: none changes within */
  if (along.next >= 0 && along.beats_to_next < left - part) {
    return along;
  }
  const bool another =
    first.now >= 0 && (along.now < 0 || !rl_chord_same(rl_form_chord(form, first.now),
                                                       rl_form_chord(form, along.now)));
  if (another) {
    return (RlChordsAt){along.now, first.now, left};
  }
  return first.next >= 0 && first.beats_to_next < whole - part
           ? (RlChordsAt){along.now, first.next, left + first.beats_to_next}
           : (RlChordsAt){along.now, -1, 0};
}

static double
bars_to(const RlForm *const form, const RlAxis axis, const double at)
{
  const RlPlace p   = rl_form_locate(form, axis, at, snap);
  const double  bar = p.chorus > 0 ? (double)(p.chorus - 1) * form->bars + p.index : (double)p.bar;
  return bar + p.beat / p.beats;
}

RlLoopBars
rl_loop_bars(const RlLoop *const l, const RlForm *const form, const RlLoopPlace *const place)
{
  const Span span = span_of(l, form, place);
  return l->axis == RL_AXIS_BARS
           ? (RlLoopBars){span.begin, span.end}
           : (RlLoopBars){bars_to(form, l->axis, span.begin), bars_to(form, l->axis, span.end)};
}
