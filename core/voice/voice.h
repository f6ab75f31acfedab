/* SPDX-License-Identifier: ISC */
/* A phrase as sound: a small reed-like voice, to listen to what was written down. A pure function
   of its input. No heap, no state; any thread but audio (time grows with the sound). */
#ifndef RL_CORE_VOICE_VOICE_H
#define RL_CORE_VOICE_VOICE_H

#include "core/phrase/phrase.h"

/** How loud a note is: the root of its mean square, 23 dB below full scale (the level at which EBU
    R 128 has programmes, here without its weighting). */
#define RL_VOICE_LEVEL 0.0708

/** How a phrase is played. */
typedef struct {
  double rate;  /**< frames a second, from 8000 */
  double tempo; /**< quarter notes a minute, where the phrase does not say; over 0 */
  double speed; /**< 1 as fast as it was; 0.5 half as fast. Pitch stays */
  double swing; /**< where the second half of a beat lies in it: 0.5 straight, 0.66 as triplets.
                     Not in meters whose beats have three parts */
} RlVoiceHow;

/** How many frames it takes, from the first note to where the last has faded. */
int64_t rl_voice_frames(const RlPhrase *phrase, const RlVoiceHow *how);

/** Adds it to `sound`, at most `frames` frames of it; what comes later is left out. Notes begin
    and end softly, a scoop glides up from a half step below, a fall down three half steps. Notes
    at once are softer, so that together they are as loud as one. */
void rl_voice_play(const RlPhrase *phrase, const RlVoiceHow *how, float *sound, int64_t frames);

#endif
