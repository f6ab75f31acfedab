/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: whether a note was scooped. */
#ifndef RL_CORE_EAR_PHRASE_SCOOP_H
#define RL_CORE_EAR_PHRASE_SCOOP_H

#include "core/ear/phrase/line.h"

/* Did it begin from two thirds of a half step to nearly two half steps below its pitch? Judged in
   the 30 ms behind its beginning, by its second to eighth partial: there a half step is wider than
   what the long window smears, and a note before it, as much lower, has died away. */
bool rl_lift_scooped(const RlLiftSpectra *spectra, const RlLiftSpan *span);

#endif
