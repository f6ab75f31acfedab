/* SPDX-License-Identifier: ISC */
/* Private to core/clock. Changes of meter. Real-time safe. */
#ifndef RL_CORE_CLOCK_METER_H
#define RL_CORE_CLOCK_METER_H

#include "core/clock/report.h"

/* Reads the meter. Returns where the line is, in the meter that holds now; `now` is the same place
   in the one before. */
RlBarBeat rl_clock_meter_follow(RlClock *c, const RlReport *r, RlBarBeat now,
                                const RlClockStep *step);

#endif
