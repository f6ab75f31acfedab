/* SPDX-License-Identifier: ISC */
/* What a chart knows of a phrase over it: which pitch classes belong where (RlLiftGrid.scale), and
   how the beat is divided. Pure; any thread but audio. */
#ifndef RL_CORE_EAR_PHRASE_OVER_H
#define RL_CORE_EAR_PHRASE_OVER_H

#include "core/chart/form.h"
#include "core/ear/phrase/lift.h"

/** The pitch classes of a blues over the key's tonic, whatever the chord, and those of the chord
    that sounds at that place with its scale. Bit 0 is C. */
uint16_t rl_lift_over(const RlForm *form, const RlPlace *place, RlKey key);

/** The same where only the key is known: over its seventh chord. */
uint16_t rl_lift_over_key(RlKey key);

/** Swung, where the chart's line `feel:` says swing, swung or shuffle; straight, where it says
   straight or even. */
RlLiftFeel rl_lift_feel(const RlForm *form);

#endif
