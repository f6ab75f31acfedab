/* SPDX-License-Identifier: ISC */
/* The lane: a plan's phrases as this player plays them on this harp, note by note along the form.
   Made away from the audio thread; immutable after; reading is real-time safe, any thread. */
#ifndef RL_CORE_ARRANGE_LANE_H
#define RL_CORE_ARRANGE_LANE_H

#include "core/arrange/plan.h"
#include "core/arrange/tab.h"

enum { RL_LANE_NOTES_MAX = 2048 };

/** A note of the lane. */
typedef struct {
  int32_t at;        /**< ticks (RL_TICKS) along the form from the first beat of bar 1; before it:
                          in the lead-in, or at the end of the chorus before */
  int32_t  lasts;    /**< ticks, at least 1 */
  uint32_t choruses; /**< as RlPlanned.choruses */
  RlTab    tab;
  uint8_t  planned;      /**< index in RlPlan.planned */
  uint8_t  degree;       /**< RlDegree against the chord that sounds */
  uint8_t  articulation; /**< RlArticulation */
  bool     followed, ending;
  bool     beyond; /**< it plays in the choruses that cannot be named (behind the 32nd) too */
} RlLaneNote;

/** A whole lane. About 44 KiB. */
typedef struct {
  uint16_t   notes;
  uint16_t   replaced;  /**< notes that are other ones than moved, left out included */
  uint16_t   left_over; /**< bars in the plan that the form does not have */
  uint16_t   too_many;  /**< phrases that there was no room for */
  RlLaneNote note[RL_LANE_NOTES_MAX]; /**< in order of `at`; left out ones are not there */
} RlLane;

/** Room to work in, from the caller: no need to clear it. */
typedef struct {
  RlPhrase       phrase;
  RlNote         note[RL_PHRASE_NOTES_MAX];
  RlTab          tab[RL_PHRASE_NOTES_MAX];
  RlHarmony      over[RL_PHRASE_CHORDS_MAX];
  RlTabWorkspace room;
} RlLaneWorkspace;

/** Moves every phrase of the plan to its bar and fits it to the harp. Where phrases overlap, the
    one that begins later cuts the other short. */
void rl_lane_make(const RlPlan *plan, const RlForm *form, RlKey key, RlHarpChoice harp,
                  RlPlayer player, RlLaneWorkspace *room, RlLane *lane);

/** Moves phrase `index` of `planned` to its bar: its notes into room->note, the harmonies below
    into room->over, the phrase itself into room->phrase. False if the form has no such bar. */
bool rl_lane_move(const RlPlan *plan, int planned, const RlForm *form, RlKey key,
                  RlLaneWorkspace *room);

/** Ticks from the first beat of bar 1 in chorus 1 to `beat` (of the bar's own, from 0) of the bar
    at `place`; behind the ending's bars the same way. */
double rl_lane_ticks(const RlForm *form, const RlPlace *place, double beat);

/** What is played at `ticks` along the form; those of the ending lie behind the last chorus. */
RlPlace rl_lane_place(const RlForm *form, double ticks, bool ending);

/** A bar of the song as it is played. */
typedef struct {
  RlPlace place;    /**< its first beat */
  double  from, to; /**< ticks from the first beat of bar 1 in chorus 1 */
} RlLaneBar;

/** The bar that plays at `now` and those behind it, `count` at most; of nowhere, the first ones of
    the form. Returns how many there are: none when the song is over. */
int rl_lane_bars(const RlForm *form, const RlPlace *now, int count, RlLaneBar *bars);

/** A note that begins, in the song as it is played. */
typedef struct {
  int    index;  /**< in RlLane.note, -1: no more */
  int    chorus; /**< in which it belongs, from 1 */
  double at;     /**< ticks from the first beat of bar 1 in chorus 1 */
} RlLaneOnset;

/** The first note of the lane that begins at or after `from` ticks. */
RlLaneOnset rl_lane_first(const RlLane *lane, const RlForm *form, double from);

/** The one after that; of several at once each comes once. */
RlLaneOnset rl_lane_next(const RlLane *lane, const RlForm *form, RlLaneOnset onset);

/** Does the note sound in that chorus (from 1)? */
bool rl_lane_plays(const RlLaneNote *note, int chorus);

#endif
