/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: on which twelfth of the beat each note belongs, and how the player
   divides the beat: straight or swung, and how far behind. */
#ifndef RL_CORE_EAR_PHRASE_SLOTS_H
#define RL_CORE_EAR_PHRASE_SLOTS_H

#include "core/ear/phrase/line.h"

/* `spread`: seconds that notes stray. Fills in `slot` (twelfths from the grid's origin) for `count`
   notes, 1 or more; the grid must have a beat. */
RlLiftPlayed rl_lift_slots(const RlLiftSpan *span, int count, const RlLiftGrid *grid, float spread,
                           int32_t slot[RL_LIFT_NOTES_MAX]);

#endif
