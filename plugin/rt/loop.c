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

/* Where the loop begins and ends, counted from bar 1. The first report of a round comes up to a
   block late, and loops begin on beats. */
static RlFormLoop
span_of(const RlLoop *const l, const RlForm *const form, const RlLoopPlace *const place)
{
  const double  from  = l->from - place->bar_one;
  const RlPlace start = rl_form_locate(form, l->axis, from, snap);
  const double  late  = (start.beat - floor(start.beat)) / start.beats_per_step;
  const double  begin = from - (late < place->near ? late : 0);
  return (RlFormLoop){l->axis, begin, begin + l->length};
}

RlChordsAt
rl_loop_chords(const RlLoop *const l, const RlForm *const form, const RlLoopPlace *const place,
               const RlChordsAt along)
{
  const RlFormLoop span = span_of(l, form, place);
  int              bar;
  return rl_form_loop_chords(form, &span, place->at - place->bar_one, place->near, along, &bar);
}

static double
bars_to(const RlForm *const form, const RlAxis axis, const double at)
{
  const RlPlace place = rl_form_locate(form, axis, at, snap);
  return rl_form_bars_to(form, &place);
}

RlLoopBars
rl_loop_bars(const RlLoop *const l, const RlForm *const form, const RlLoopPlace *const place)
{
  const RlFormLoop span = span_of(l, form, place);
  return l->axis == RL_AXIS_BARS
           ? (RlLoopBars){span.from, span.to}
           : (RlLoopBars){bars_to(form, l->axis, span.from), bars_to(form, l->axis, span.to)};
}
