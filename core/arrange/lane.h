/* SPDX-License-Identifier: ISC */
/* The lane: the phrases of a plan as this player plays them on this harp, note by note along the
   form. rl_lane_make() and rl_lane_move() are not for the audio thread. Once made a lane does not
   change; all else here reads only, is real-time safe, and may be called from any thread. No heap.
   Ticks are RL_TICKS a quarter. */
#ifndef RL_CORE_ARRANGE_LANE_H
#define RL_CORE_ARRANGE_LANE_H

#include "core/arrange/plan.h"
#include "core/arrange/tab.h"
#include "core/chart/form_loop.h"

enum { RL_LANE_NOTES_MAX = 2048 };

/** A note of the lane. */
typedef struct {
  int32_t at;    /**< ticks along the form from the first beat of bar 1; negative: a pickup, in
                      the lead-in or at the end of the chorus before */
  int32_t lasts; /**< ticks, at least 1; what follows may cut it: RlLaneOnset.lasts */
  RlTab   tab;
  uint8_t planned;      /**< index in RlPlan.planned */
  uint8_t degree;       /**< RlDegree against the chord that sounds */
  uint8_t articulation; /**< RlArticulation */
  bool    followed;     /**< as RlNote.followed */
} RlLaneNote;

/** What of a planned phrase can be played. */
typedef struct {
  uint16_t first, notes; /**< in RlLane.note; 0 notes: nothing of it */
  int32_t  at;           /**< ticks along the form to the bar and beat it is planned on */
  int32_t  begins;       /**< and to its first note */
  uint32_t choruses;     /**< bit n: it begins in chorus n + 1. Not where another phrase on the same
                              bar and beat takes its place. */
  bool beyond;           /**< and in the choruses after the 32nd, which a plan cannot name */
  bool named;            /**< the plan names its choruses */
  bool ending;           /**< on a bar of the ending: played after the last chorus only */
} RlLanePhrase;

/** A whole lane. About 45 KiB. */
typedef struct {
  uint16_t notes;
  uint16_t phrases;   /**< RlPlan.planned_count */
  uint16_t replaced;  /**< notes that the harp lacks: replaced, or left out */
  uint16_t left_over; /**< phrases on bars or beats that the form does not have */
  uint16_t too_many;  /**< phrases left out because there would be over RL_LANE_NOTES_MAX notes */
  uint16_t ordered;   /**< phrases that can be played */
  uint8_t  order[RL_PLANNED_MAX]; /**< those, as they begin; of two at once first the one that
                                       plays */
  uint32_t     choruses;          /**< in which any of them begins, as RlLanePhrase.choruses */
  bool         beyond;
  RlLanePhrase phrase[RL_PLANNED_MAX];
  RlLaneNote   note[RL_LANE_NOTES_MAX]; /**< phrase by phrase, in order of `at`, without those left
                                             out */
} RlLane;

/** Scratch memory, from the caller; need not be cleared. About 70 KiB. */
typedef struct {
  RlPhrase       phrase;
  RlNote         note[RL_PHRASE_NOTES_MAX];
  RlTab          tab[RL_PHRASE_NOTES_MAX];
  RlHarmony      over[RL_PHRASE_CHORDS_MAX];
  RlTabWorkspace tab_workspace;
} RlLaneWorkspace;

/** Moves every phrase of the plan to its bar and fits it to the harp. */
void rl_lane_make(const RlPlan *plan, const RlForm *form, RlKey key, RlHarpChoice harp,
                  RlPlayer player, RlLaneWorkspace *workspace, RlLane *lane);

/** Moves the phrase of plan->planned[planned] to its bar: the notes into workspace->note, the
    harmonies under them into workspace->over, the phrase itself into workspace->phrase. False if
    the form has no such bar or beat. */
bool rl_lane_move(const RlPlan *plan, int planned, const RlForm *form, RlKey key,
                  RlLaneWorkspace *workspace);

/** The same for the phrase that is in workspace->phrase already. */
bool rl_lane_move_to(const RlPlanned *planned, const RlForm *form, RlKey key,
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

/** The same in a loop of the host, along RL_AXIS_BARS and with `now` in it: after its last bar
   comes its first. */
int rl_lane_bars_in_loop(const RlForm *form, const RlFormLoop *loop, const RlPlace *now, int count,
                         RlLaneBar *bars);

/* One phrase at a time. From where a phrase begins, with its pickup, all that began before it is
   silent. Of two on the same bar and beat, and of two that begin at once, one plays: that with
   named choruses (or of the ending), else the later line of the plan. The song's end ends all. */

/** A phrase in one chorus. */
typedef struct {
  int    planned; /**< index in RlPlan.planned; -1: none */
  int    chorus;  /**< from 1 */
  double at;      /**< where its first note begins: ticks from the first beat of bar 1 in chorus 1;
                       without a phrase where the song ends, HUGE_VAL if it does not */
} RlLaneTurn;

/** A note that begins, in the song as it is played. */
typedef struct {
  int        index;  /**< in RlLane.note; -1: none is left */
  int        chorus; /**< in which it belongs, from 1 */
  double     at;     /**< ticks from the first beat of bar 1 in chorus 1 */
  double     lasts;  /**< ticks, until the next phrase begins at most */
  RlLaneTurn next;   /**< the phrase that follows */
} RlLaneOnset;

/** The first note that begins at or after `from`, in ticks from the first beat of bar 1 in
 * chorus 1.
 */
RlLaneOnset rl_lane_first(const RlLane *lane, const RlForm *form, double from);

/** The first note that ends after `from`, whenever it begins. */
RlLaneOnset rl_lane_sounding(const RlLane *lane, const RlForm *form, double from);

/** The note after `onset`; notes that begin together come one by one. */
RlLaneOnset rl_lane_next(const RlLane *lane, const RlForm *form, RlLaneOnset onset);

enum { RL_LANE_BY_NONE = -1, RL_LANE_BY_END = -2 /**< the end of the song */ };

/** What becomes of a phrase in a chorus where it is planned. */
typedef struct {
  int by;         /**< the phrase that cuts it short or takes its place: an index in RlPlan.planned,
                       or one of RL_LANE_BY_… */
  int  lost;      /**< notes of it that are not played */
  bool shortened; /**< its last note that is played ends early */
} RlLaneFate;

/** What becomes of lane->phrase[planned] in a chorus (from 1; of no account in the ending). The
    plan must have it there. */
RlLaneFate rl_lane_fate(const RlLane *lane, const RlForm *form, int planned, int chorus);

/** Appends `bar 4: Down the Steps is cut short by bar 1: Tide Bell; 2 more are cut short or left
    out`; nothing if every phrase is played whole, but for those whose bar and beat a phrase with
    named choruses takes. */
void rl_lane_cuts_write(const RlPlan *plan, const RlLane *lane, const RlForm *form, RlText *text);

#endif
