/* SPDX-License-Identifier: ISC */
/* How well what was heard of a recording fits a beat of the form, wherever that is put: onsets,
   chords, bass and the net for beats and halves. For path.h. */
#ifndef RL_CORE_EAR_BEAT_WORTH_H
#define RL_CORE_EAR_BEAT_WORTH_H

#include "core/ear/path.h"

enum { RL_BEAT_WORTH_ANY_FEEL = RL_EAR_FEELS };

/** Lies in the caller's memory; all words in nepers. */
typedef struct {
  const RlPathSearch *s;
  float              *chord; /* [chord of the score][hop + 1], summed */
  float              *bass;  /* [chord of the score][RlStand][hop + 1], summed */
  float              *onset; /* [feel, or any][RL_BEAT_KINDS][RL_EAR_PHASES][RL_HEARING_SYMBOLS] */
} RlBeatWorth;

/** Bytes that it takes. */
size_t rl_beat_worth_bytes(const RlPathSearch *search);

/** As it lies in `memory`, aligned for floats. */
RlBeatWorth rl_beat_worth_in(const RlPathSearch *search, char *memory);

/** Takes in what was heard. */
void rl_beat_worth_take(const RlBeatWorth *worth);

/** Onsets of a beat over `length` hops from `from`, by feel (or RL_BEAT_WORTH_ANY_FEEL) and
    RlBeatKind. */
float rl_beat_worth_onsets(const RlBeatWorth *worth, int feel, int kind, int from, int length);

/** A chord of the score, by lean. */
float rl_beat_worth_chord(const RlBeatWorth *worth, int chord, int lean, int from, int length);

/** Its bass, by RlStand. */
float rl_beat_worth_bass(const RlBeatWorth *worth, int chord, int stand, int from, int length);

/** What the net says of a beat there and of the half behind it. */
float rl_beat_worth_pulse(const RlBeatWorth *worth, int from, int length);

#endif
