/* SPDX-License-Identifier: ISC */
/* The beat of a phrase from its notes alone, where nothing says it: the tempo and the phase under
   which they lie best on the twelfths that players use (slots.h), half and double tempo weighed by
   how usual they are. A guess: a phrase of a few notes fits many. No heap, no state; any thread but
   audio. */
#ifndef RL_CORE_EAR_PHRASE_BEAT_H
#define RL_CORE_EAR_PHRASE_BEAT_H

#include "core/ear/phrase/lift.h"

/** What is known: fills in what is 0 or not known. `beat`: seconds, 0 to be found; `origin`: of a
    beat, only where `has_origin`. False without notes. */
bool rl_lift_beat(const RlLifted *lifted, double *beat, bool has_origin, double *origin);

#endif
