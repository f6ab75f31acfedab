/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: how likely a note that was found is right: a small net over what is
   known of it once all notes are known. Fitted on rendered phrases (tests/ear/lift). */
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

enum {
  RL_LIFT_ASKED       = 22, /* of each note: trust.c says what */
  RL_LIFT_TRUST_UNITS = 30
};

/* The table that was fitted (tests/ear/lift/learn_trust.py). Of what is likely right the logarithm
   of the odds is `drawn` times what was fitted, at most 1: how sure it says it is understates, so
   that what is surer than .9 may be relied on. */
typedef struct {
  float unit[RL_LIFT_ASKED][RL_LIFT_TRUST_UNITS], out[RL_LIFT_TRUST_UNITS];
  float plain[RL_LIFT_ASKED]; /* past the units */
  float drawn;
} RlLiftTrust;

extern const RlLiftTrust rl_lift_trust_learned;

/* All of that, of each of its notes. */
void rl_lift_trust_ask(const RlLiftPhrase *phrase, float asked[][RL_LIFT_ASKED]);

/* 0..1 for each of its notes. */
void rl_lift_trust(const RlLiftPhrase *phrase, float sure[RL_LIFT_NOTES_MAX]);

#endif
