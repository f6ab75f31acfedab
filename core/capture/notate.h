/* SPDX-License-Identifier: ISC */
/* A take transcribed: quantised along the form, into a phrase over the chords of the form. No heap,
   no state; not for the audio thread (some tens of milliseconds for a long take); any other
   thread. */
#ifndef RL_CORE_CAPTURE_NOTATE_H
#define RL_CORE_CAPTURE_NOTATE_H

#include "core/capture/quantise.h"
#include "core/capture/take.h"
#include "core/chart/form.h"
#include "core/phrase/phrase.h"

/** Scratch memory, from the caller; need not be cleared. About 90 KiB. */
typedef struct {
  RlGridNote      note[RL_TAKE_NOTES_MAX];
  uint16_t        from[RL_TAKE_NOTES_MAX];         /**< index in the take */
  uint8_t         articulation[RL_TAKE_NOTES_MAX]; /**< RlArticulation */
  RlGridBeat      beat[RL_QUANTISE_BEATS_MAX];
  RlGridWorkspace grid;
} RlNotateWorkspace;

/** A take as it was understood. About 8 KiB. */
typedef struct {
  RlPhrase   phrase; /**< without a title */
  int        bar;    /**< of the form, from 1, on which its first beat falls */
  int        chorus; /**< of that bar; 0 in the lead-in */
  RlGridFeel feel;
  uint16_t   scoops;   /**< crushed notes that became a scoop of the next note */
  uint16_t   left_out; /**< other notes without a place: a fourth one at once, one crushed from
                            above, one past the greatest number of notes or beats */
  uint16_t from[RL_PHRASE_NOTES_MAX]; /**< by note of the phrase: its index in the take */
  bool     moved;                     /**< played before the form begins: put on bar 1 */
} RlNotated;

/** Transcribes a take that has ended. `key`: in which the song sounds; `tempo`: quarters a minute,
    above 0. phrase.notes + scoops + left_out is the number of notes played. False if the take holds
    no notes. */
bool rl_notate(const RlTake *take, const RlForm *form, RlKey key, double tempo,
               RlNotateWorkspace *workspace, RlNotated *notated);

/** Appends what is worth saying of it: `14 notes, swung (.62), 11 ms behind the beat`. */
void rl_notated_say(const RlNotated *notated, RlText *text);

/** Writes the fields of its phrase anew: what is worth saying; the holes, where they were heard;
   how sure each note is (core/phrase/sure.h), where the take was lifted from a record. */
void rl_notated_fields(const RlTake *take, RlNotated *notated);

/** Where off-beats lie in their beat by what rl_notated_say() said in a phrase's fields; 0.5, in
   the middle, where it said nothing of the kind. */
double rl_notated_swing(const char *fields);

#endif
