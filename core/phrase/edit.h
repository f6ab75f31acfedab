/* SPDX-License-Identifier: ISC */
/* A phrase put right by hand: a note moved to the next place of its beat, or taken out. Plain data;
   no heap, no state; any thread but audio. */
#ifndef RL_CORE_PHRASE_EDIT_H
#define RL_CORE_PHRASE_EDIT_H

#include "core/phrase/phrase.h"

/** How many onsets a phrase has; notes at once are one. */
int rl_phrase_onsets(const RlPhrase *phrase);

/** The index of the first note of onset `onset` (from 0, below rl_phrase_onsets()). */
int rl_phrase_onset_first(const RlPhrase *phrase, int onset);

/** Moves an onset one place earlier (`by` -1) or later (1): places are the quarters and thirds of a
   beat, sixths of a dotted one. Its end stays; what was held up to it is held up to it still.
   False, and nothing is changed, where that is no place for it: before the phrase, at or behind its
   own end, or at or before the beginning of the one before. */
bool rl_phrase_onset_shift(RlPhrase *phrase, int onset, int by);

/** Takes an onset out, all its notes; what was held up to it is held as long as it was. False for
   the only one. */
bool rl_phrase_onset_remove(RlPhrase *phrase, int onset);

#endif
