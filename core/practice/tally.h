/* SPDX-License-Identifier: ISC */
/* The tally of a chorus: what was played of what could have been. Plain counting of notes that have
   been heard, against form, targets and phrases; README.md has every rule. Pure; not for the audio
   thread (time grows with the notes); no heap, no state. */
#ifndef RL_CORE_PRACTICE_TALLY_H
#define RL_CORE_PRACTICE_TALLY_H

#include "core/arrange/lane.h"
#include "core/arrange/target_line.h"
#include "core/chart/form.h"
#include "core/harmony/lamps.h"

/** A note as it was heard. */
typedef struct {
  double  at, ends;              /**< quarters along the song, as rl_form_quarters() */
  float   tempo;                 /**< quarters a minute, when it began */
  float   cents;                 /**< off its pitch, the mean while it was held */
  float   sure;                  /**< 0..1 */
  uint8_t hole, technique, note; /**< hole from 1; RlTechnique; MIDI number */
} RlHeardNote;

/** What it is counted against. */
typedef struct {
  const RlForm       *form;
  RlKey               key;
  const RlTargetLine *line; /**< for the harp that was played */
  const RlLane       *lane; /**< likewise; NULL: nothing is planned */
} RlTallySong;

/** Counts of a chorus, or of the part of it that was played. */
typedef struct {
  int    bars; /**< whole bars counted, at least 1 */
  int    notes;
  int    targets, targets_hit; /**< chords that came with a note to land on; landed on */
  int    strong, strong_chord; /**< notes begun on strong beats; of those tones of the chord */
  int    role[RL_ROLES];       /**< notes by their role, out of reach ones by what they are */
  int    planned, planned_hit; /**< notes of phrases; played */
  int    bends;                /**< bent notes, */
  double bend_cents;           /**< the mean of their cents off, */
  double bend_spread;          /**< and the standard deviation */
  int    timed;                /**< notes begun near a felt beat, */
  double behind_ms;            /**< the mean of how far behind it, negative: before; */
  double behind_beats;         /**< the same in parts of a felt beat */
} RlTally;

/** Counts what was heard from `from` to `to` quarters along the song, both within one chorus. The
    notes are in order of `at`, those shortly before and after among them. */
RlTally rl_tally_of(const RlTallySong *song, double from, double to, const RlHeardNote *notes,
                    int count);

#endif
