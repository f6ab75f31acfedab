/* SPDX-License-Identifier: ISC */
/* Editing a phrase by hand, onset by onset: moved to the next place of its beat, or removed. An
   onset is all notes that begin at the same time. Plain data; no heap, no state; any thread but
   audio. What sure.h says of the notes follows: those put right are sure. */
#ifndef RL_CORE_PHRASE_EDIT_H
#define RL_CORE_PHRASE_EDIT_H

#include "core/phrase/phrase.h"

/** How many onsets a phrase has. */
int rl_phrase_onsets(const RlPhrase *phrase);

/** The index of the first note of onset `onset` (from 0, below rl_phrase_onsets()). */
int rl_phrase_onset_first(const RlPhrase *phrase, int onset);

/** Moves an onset one place earlier (`by` -1) or later (1). Places are the quarters and thirds of a
    beat, sixths of a dotted one. Its end stays; notes held up to it are held up to its new place.
    False, and nothing changes, where it cannot go there: before the phrase, at or after its own
   end, at or before the onset before. */
bool rl_phrase_onset_shift(RlPhrase *phrase, int onset, int by);

/** Moves an onset by a half step down (`by` -1) or up (1). False, and nothing changes, where there
   is no MIDI note for it. */
bool rl_phrase_onset_step(RlPhrase *phrase, int onset, int by);

/** Has an onset scooped, or no longer. */
void rl_phrase_onset_scoop(RlPhrase *phrase, int onset);

/** Removes an onset with all its notes; the notes before it keep their lengths. False for the only
    onset. */
bool rl_phrase_onset_remove(RlPhrase *phrase, int onset);

#endif
