/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: how likely a note that was found is right: a logistic regression over
   what is known of it once all notes are known. Fitted on rendered phrases (tests/ear/lift). */
#ifndef RL_CORE_EAR_PHRASE_TRUST_H
#define RL_CORE_EAR_PHRASE_TRUST_H

#include "core/ear/phrase/line.h"

/* What the phrase is judged by. */
typedef struct {
  const RlLiftSpan    *span;
  int                  count;
  const RlLiftHeard   *heard;
  const RlLiftSpectra *spectra;
  const RlLiftGrid    *grid;
  const float         *prior; /* as in RlLiftTask */
} RlLiftPhrase;

/* 0..1 for each of its notes. */
void rl_lift_trust(const RlLiftPhrase *phrase, float sure[RL_LIFT_NOTES_MAX]);

#endif
