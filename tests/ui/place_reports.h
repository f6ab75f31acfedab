/* SPDX-License-Identifier: ISC */
/* Places as the plugin would report them, for tests of what is shown. */
#ifndef RL_PLACE_REPORTS_H
#define RL_PLACE_REPORTS_H

#include "ui/controller/controller.h"

/** On a beat (from 0) of a bar; `index` of the bar in the form, -1 where none sounds. */
RlPlaceReport rl_report_at(const RlView *view, RlPart part, int chorus, int bar, int index,
                           int beat);

/** The n-th beat (from 0) of a song: lead-in, two choruses, ending, then over. */
RlPlaceReport rl_report_beat(const RlView *view, int beat);

#endif
