/* SPDX-License-Identifier: ISC */
/* Meters: which beats are felt. What chart, phrase and ABC share. Pure; real-time safe, any thread.
 */
#ifndef RL_CORE_METER_METER_H
#define RL_CORE_METER_METER_H

#include <stdbool.h>

/** Do so many beats fall into groups of three: 6, 9, 12 …, whatever the unit? */
bool rl_meter_in_threes(int beats);

/** Is it a compound meter, felt in dotted beats: 6/8, 9/8, 12/8 (and 6/16 …), but not 3/8 or 6/4
    (common practice, no source)? */
bool rl_meter_compound(int beats, int unit);

/** Felt beats in a bar: a third of the meter's in a compound meter, else all of them. */
double rl_meter_felt(int beats, int unit);

#endif
