/* SPDX-License-Identifier: ISC */
/* Editing a phrase by hand, onset by onset: moved in time or pitch, made longer, split, joined,
   inserted, removed. An onset is all notes that begin at the same time. A phrase stays as long as
   it is, its notes in order and one behind the other. Plain data; no heap, no state; any thread but
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

/** Has an onset scooped or falling, or no longer: `how` is RL_ARTICULATION_SCOOP or _FALL. */
void rl_phrase_onset_mark(RlPhrase *phrase, int onset, RlArticulation how);

/** Removes an onset with all its notes; the notes before it keep their lengths. False for the only
    onset. */
bool rl_phrase_onset_remove(RlPhrase *phrase, int onset);

/** Has an onset end one place later (`by` 1) or earlier (-1), at the next onset or the phrase's end
    at most. False, and nothing changes, where it cannot. */
bool rl_phrase_onset_stretch(RlPhrase *phrase, int onset, int by);

/** Divides an onset into two that follow each other: on the beat nearest to its middle, else
    on a part of the beat, from a half to a twelfth, that both are made of. False, and nothing
    changes, where it is too short for that or the phrase is full. */
bool rl_phrase_onset_split(RlPhrase *phrase, int onset);

/** Has an onset last to the end of the next one, which goes. False for the last one. */
bool rl_phrase_onset_join(RlPhrase *phrase, int onset);

/** Inserts a note, half a beat long at most, of the pitch of an onset (of its lowest note): in the
    gap behind it, else in the gap before it, else as its second half. Returns the new onset, or -1,
    and nothing changes, where there is no room. */
int rl_phrase_onset_insert(RlPhrase *phrase, int onset);

/** Is a note of that onset perhaps none (sure.h)? */
bool rl_phrase_onset_perhaps(const RlPhrase *phrase, int onset);

/** The next such onset behind that one, from the last to the first, itself at the end; -1: none. */
int rl_phrase_onset_unsure(const RlPhrase *phrase, int onset);

/** Says that an onset is right. False where that was sure already, or nothing is known. */
bool rl_phrase_onset_accept(RlPhrase *phrase, int onset);

#endif
