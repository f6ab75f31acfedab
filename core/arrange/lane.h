/* SPDX-License-Identifier: ISC */
/* The lane: the phrases of a plan as this player plays them on this harp, note by note along the
   form. rl_lane_make() and rl_lane_move() are not for the audio thread. Once made a lane does not
   change; all else here reads only, is real-time safe, and may be called from any thread. No heap.
   Ticks are RL_TICKS a quarter. */
#ifndef RL_CORE_ARRANGE_LANE_H
#define RL_CORE_ARRANGE_LANE_H

#include "core/arrange/plan.h"
#include "core/arrange/tab.h"

enum { RL_LANE_NOTES_MAX = 2048 };

/** A note of the lane. */
typedef struct {
  int32_t at;        /**< ticks along the form from the first beat of bar 1; negative: a pickup, in
                          the lead-in or at the end of the chorus before */
  int32_t  lasts;    /**< ticks, at least 1 */
  uint32_t choruses; /**< as RlPlanned.choruses */
  RlTab    tab;
  uint8_t  planned;      /**< index in RlPlan.planned */
  uint8_t  degree;       /**< RlDegree against the chord that sounds */
  uint8_t  articulation; /**< RlArticulation */
  bool     followed;     /**< as RlNote.followed */
  bool     ending;       /**< of the ending: played in the last chorus only */
  bool     beyond; /**< played in the choruses after the 32nd, which a plan cannot name, too */
} RlLaneNote;

/** A whole lane. About 48 KiB. */
typedef struct {
  uint16_t   notes;
  uint16_t   replaced;  /**< notes that the harp lacks: replaced, or left out */
  uint16_t   left_over; /**< phrases on bars or beats that the form does not have */
  uint16_t   too_many;  /**< phrases left out because there would be over RL_LANE_NOTES_MAX notes */
  RlLaneNote note[RL_LANE_NOTES_MAX]; /**< in order of `at`, without those left out */
} RlLane;

/** Scratch memory, from the caller; need not be cleared. About 70 KiB. */
typedef struct {
  RlPhrase       phrase;
  RlNote         note[RL_PHRASE_NOTES_MAX];
  RlTab          tab[RL_PHRASE_NOTES_MAX];
  RlHarmony      over[RL_PHRASE_CHORDS_MAX];
  RlTabWorkspace tab_workspace;
} RlLaneWorkspace;

/** Moves every phrase of the plan to its bar and fits it to the harp. Where phrases overlap, the
    one that begins later cuts the other short. */
void rl_lane_make(const RlPlan *plan, const RlForm *form, RlKey key, RlHarpChoice harp,
                  RlPlayer player, RlLaneWorkspace *workspace, RlLane *lane);

/** Moves the phrase of plan->planned[planned] to its bar: the notes into workspace->note, the
    harmonies under them into workspace->over, the phrase itself into workspace->phrase. False if
    the form has no such bar or beat. */
bool rl_lane_move(const RlPlan *plan, int planned, const RlForm *form, RlKey key,
                  RlLaneWorkspace *workspace);

/** Ticks from the first beat of bar 1 in chorus 1 to `beat` (of the bar's own, from 0) of the bar
    at `place`, which must be in the song, before its end; in the ending too, which follows the last
    chorus. */
double rl_lane_ticks(const RlForm *form, const RlPlace *place, double beat);

/** The place at `ticks` along the form (RlLaneNote.at); `ending`: of a note of the ending, counted
    from the last chorus. */
RlPlace rl_lane_place(const RlForm *form, double ticks, bool ending);

/** A bar of the song as it is played. */
typedef struct {
  RlPlace place;    /**< its first beat */
  double  from, to; /**< ticks from the first beat of bar 1 in chorus 1 */
} RlLaneBar;

/** The bar at `now` and those that follow, at most `count`, into `bars`; from RL_PART_NOWHERE the
    first ones of the form. Returns how many there are: none when the song is over. */
int rl_lane_bars(const RlForm *form, const RlPlace *now, int count, RlLaneBar *bars);

/** A note that begins, in the song as it is played. */
typedef struct {
  int    index;  /**< in RlLane.note; -1: none is left */
  int    chorus; /**< in which it belongs, from 1 */
  double at;     /**< ticks from the first beat of bar 1 in chorus 1 */
} RlLaneOnset;

/** The first note that begins at or after `from`, in ticks from the first beat of bar 1 in
 * chorus 1.
 */
RlLaneOnset rl_lane_first(const RlLane *lane, const RlForm *form, double from);

/** The note after `onset`; notes that begin together come one by one. */
RlLaneOnset rl_lane_next(const RlLane *lane, const RlForm *form, RlLaneOnset onset);

/** Does the note sound in that chorus (from 1)? */
bool rl_lane_plays(const RlLaneNote *note, int chorus);

#endif
