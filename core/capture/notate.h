/* SPDX-License-Identifier: ISC */
/* A take written down: quantised along the form, its chords the reference, pitch against them. No
   heap, no state; not for the audio thread; any other thread. */
#ifndef RL_CORE_CAPTURE_NOTATE_H
#define RL_CORE_CAPTURE_NOTATE_H

#include "core/capture/quantise.h"
#include "core/capture/take.h"
#include "core/chart/form.h"
#include "core/phrase/phrase.h"

/** Room to work in, from the caller: no need to clear it. About 190 KiB. */
typedef struct {
  RlGridNote      note[RL_TAKE_NOTES_MAX];
  uint16_t        from[RL_TAKE_NOTES_MAX];         /**< index in the take */
  uint8_t         articulation[RL_TAKE_NOTES_MAX]; /**< RlArticulation */
  RlGridBeat      beat[RL_QUANTISE_BEATS_MAX];
  RlGridWorkspace grid;
} RlNotateWorkspace;

/** A take as it was understood. About 7 KiB. */
typedef struct {
  RlPhrase   phrase; /**< without a title */
  int        bar;    /**< of the form, from 1, on which its first beat falls */
  int        chorus; /**< of that bar; 0 in the lead-in */
  RlGridFeel feel;
  uint16_t   scoops; /**< crushed notes that became a scoop of the next */
  uint16_t left_out; /**< other notes that have no place: a fourth one at once, crushed from above,
                          after the room was full */
  bool moved;        /**< played before the form begins: put on bar 1 */
} RlNotated;

/** Writes a take down that is over. `tempo`: quarters a minute, above 0. False if it holds no
 * notes. */
bool rl_notate(const RlTake *take, const RlForm *form, RlKey key, double tempo,
               RlNotateWorkspace *room, RlNotated *notated);

/** Appends what is worth saying of it: `14 notes, swing .62, 11 ms behind the beat; 1 left out: …`.
 */
void rl_notated_say(const RlNotated *notated, RlText *text);

#endif
