/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: whether a note was scooped, or fell away. */
#ifndef RL_CORE_EAR_PHRASE_GLIDE_H
#define RL_CORE_EAR_PHRASE_GLIDE_H

#include "core/ear/phrase/line.h"

/* Did it begin from two thirds of a half step to nearly two half steps below its pitch? Judged in
   the 30 ms behind its beginning, by its second to eighth partial: there a half step is wider than
   what the long window smears, and a note before it, as much lower, has died away. */
bool rl_lift_scooped(const RlLiftSpectra *spectra, const RlLiftSpan *span);

/* Until which frame a note leaves its pitch downwards, by a half step and a third at least; 0: it
   does not. The strongest third of a half step is followed from frame to frame about the note's
   end, before `until`, as long as it is a quarter as strong as the note was; what goes further down
   at once is another note. */
int rl_lift_fall(const RlLiftSpectra *spectra, const RlLiftSpan *span, int until);

#endif
