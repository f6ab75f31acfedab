/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: from which side of the stereo picture the horn comes. */
#ifndef RL_CORE_EAR_PHRASE_SIDE_H
#define RL_CORE_EAR_PHRASE_SIDE_H

#include "core/ear/phrase/line.h"

/* The angle at which most partials of the notes found lie, 0 left, pi/2 right, into *angle. Returns
   their share, 0..1; 0 where both sides are the same. */
float rl_lift_side(const RlLiftSound *sound, float tuning, const RlLiftSpan *span, int count,
                   RlLiftRoom *room, float *angle);

#endif
