/* SPDX-License-Identifier: ISC */
/* A stretch of the form that the host plays over and over: what comes after its end is its
   beginning. Real-time safe, any thread. */
#ifndef RL_CORE_CHART_FORM_LOOP_H
#define RL_CORE_CHART_FORM_LOOP_H

#include "core/chart/form.h"

/** From where to where, along an axis from the first beat of bar 1 in chorus 1. */
typedef struct {
  RlAxis axis;
  double from, to;
} RlFormLoop;

/** The chords around `at`, a place inside the loop. `along` are those that the form goes on with;
    a change less than `near` (along the axis) before the loop's end is not heard any more. `bar`
    gets the index of the bar in which the next chord comes, -1 for none. */
RlChordsAt rl_form_loop_chords(const RlForm *form, const RlFormLoop *loop, double at, double near,
                               RlChordsAt along, int *bar);

/** Bars of the form from bar 1 of chorus 1 to a place: the inverse of rl_form_locate() along
    RL_AXIS_BARS. The place's part must be the lead-in, a chorus or the ending. */
double rl_form_bars_to(const RlForm *form, const RlPlace *place);

#endif
