/* SPDX-License-Identifier: ISC */
/* What was learned from rendered bands; made by tests/ear/follow/learn_onsets.py, learn_chords.py,
   learn_bass.py and learn_beats.py, never by hand. */
#ifndef RL_CORE_EAR_LEARNED_H
#define RL_CORE_EAR_LEARNED_H

#include "core/ear/lattice.h"

/** How much more often a symbol comes at a phase of a beat than anywhere: a line for each phase, a
    letter for each symbol: 0..9 A..Z a..z count tenths of a neper up from RL_LEARNED_LEAST. */
extern const char rl_learned_onsets[RL_EAR_FEELS][RL_BEAT_KINDS][RL_EAR_PHASES]
                                   [RL_HEARING_SYMBOLS + 1];

enum { RL_CHORD_INPUTS = 48, RL_CHORD_HIDDEN = 24 };

/** A net of one hidden layer: in go chroma, bass, and both smoothed, from a root up; out comes how
    likely each type of chord stands on that root (before the softmax over all). */
typedef struct {
  float inner[RL_CHORD_HIDDEN][RL_CHORD_INPUTS], inner_plus[RL_CHORD_HIDDEN];
  float outer[RL_CHORD_TYPES][RL_CHORD_HIDDEN], outer_plus[RL_CHORD_TYPES];
} RlLearnedChords;

extern const RlLearnedChords rl_learned_chords;

/** What a bass on a tone, up from what the chord stands on, speaks for the chord at a beat; nepers
   a step, of a bass all on that tone. */
extern const float rl_learned_bass[RL_STANDS][12];

enum { RL_BEAT_HOPS = 29 };

/** How much more often a symbol comes some hops (10 ms) before or after a beat than anywhere: a
   line for each hop, the beat in the middle; letters as above. */
extern const char rl_learned_beats[RL_BEAT_HOPS][RL_HEARING_SYMBOLS + 1];

enum { RL_LEARNED_LEAST = -36 /**< tenths of a neper */ };

/** Tenths of a neper that a letter of these tables stands for. */
static inline int
rl_learned_tenths(const char letter)
{
  const int up = letter <= '9'   ? letter - '0'
                 : letter <= 'Z' ? letter - 'A' + 10
                                 : letter - 'a' + 36;
  return up + RL_LEARNED_LEAST;
}

#endif
