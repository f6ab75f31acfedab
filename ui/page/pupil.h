/* SPDX-License-Identifier: ISC */
/* The core as the page calls it: one pupil's harp, the song, and where it is. Compiled to
   WebAssembly for phones, and natively for the tests that compare both. Numbers in, numbers out;
   results lie in memory that the page reads, laid out as below (little-endian). One page, one
   state, one thread. */
#ifndef RL_UI_PAGE_PUPIL_H
#define RL_UI_PAGE_PUPIL_H

#include "core/arrange/lane.h"
#include "core/arrange/target_line.h"
#include "core/chart/chart.h"
#include "core/harmony/lamps.h"

/** A lamp as the page reads it: ten bytes. */
typedef struct {
  uint8_t note;       /**< MIDI number, 0: none */
  uint8_t reached;    /**< 1: this pupil can make it */
  uint8_t role;       /**< RlRole */
  uint8_t brightness; /**< tenths */
  uint8_t degree;     /**< RlDegree */
  uint8_t blue;
  uint8_t comes;       /**< 1: a tone of the next chord, and reached */
  uint8_t next_degree; /**< RlDegree against it */
  uint8_t target;      /**< 1: the one to land on when it comes */
  uint8_t draws;
} RlPupilLamp;

/** A place in the song as the page reads it. */
typedef struct {
  double  beat;        /**< from 0 */
  double  felt;        /**< felt beats since the bar line */
  double  left;        /**< felt beats to the next chord, 0: none */
  double  lasts;       /**< felt beats from the last change to the next one */
  int32_t part;        /**< RlPart */
  int32_t chorus, bar; /**< as in RlPlace */
  int32_t index;       /**< of the bar in the form, -1: none */
  int32_t beats, unit; /**< of the bar */
  int32_t felt_beats;  /**< of the bar */
  int32_t now, next;   /**< changes of the form, -1: none */
  int32_t next_bar;    /**< index of the bar in which the next chord comes, -1 */
  int32_t bars;        /**< in a chorus */
  int32_t choruses;    /**< 0: for ever */
} RlPupilPlace;

enum { RL_PUPIL_NOTES = 128 /**< of a bar of the lane; more could not be read on a screen */ };

/** How a note of a phrase is written, as a set. */
enum { RL_PUPIL_REPLACED = 1, RL_PUPIL_SLUR = 2, RL_PUPIL_SCOOP = 4, RL_PUPIL_FALL = 8 };

/** A note of a phrase as the page reads it: twelve bytes. */
typedef struct {
  float   at, lasts; /**< beats of the bar's own, from its first one on */
  uint8_t hole, how; /**< RlTechnique */
  uint8_t degree;    /**< RlDegree, against the chord that sounds */
  uint8_t looks;     /**< RL_PUPIL_REPLACED and so on */
} RlPupilNote;

/** A bar of the lane as the page reads it. */
typedef struct {
  int32_t part, bar; /**< as in RlPlace, but in the ending from 1 */
  int32_t index;     /**< of the bar in the form, -1: none */
  int32_t beats, unit;
  int32_t answers; /**< 1: it is the pupil's to answer */
  int32_t planned; /**< index in RlPlan.planned of whose note begins first in it; -1: none does */
  int32_t notes;
  RlPupilNote note[RL_PUPIL_NOTES]; /**< in order of `at`; notes at once have the same */
} RlPupilLane;

/** What rl_pupil_name() writes. */
typedef enum {
  RL_PUPIL_TITLE,
  RL_PUPIL_FEEL,
  RL_PUPIL_KEY,
  RL_PUPIL_NOW,         /**< n: a change */
  RL_PUPIL_NOW_DEGREE,  /**< n: a change */
  RL_PUPIL_BAR,         /**< n: bar * 8 + chord */
  RL_PUPIL_BAR_DEGREE,  /**< n: bar * 8 + chord */
  RL_PUPIL_SECTION,     /**< n: a bar */
  RL_PUPIL_DEGREE,      /**< n: an RlDegree */
  RL_PUPIL_DEGREE_NOTE, /**< n: an RlDegree against the chord now (as set), 32 more: the next */
  RL_PUPIL_ROLE,        /**< n: an RlRole */
  RL_PUPIL_TUNING,      /**< n: an RlTuning */
  RL_PUPIL_PHRASE       /**< n: index in RlPlan.planned: the phrase's title */
} RlPupilName;

/** The buffer for texts in both directions, RL_CHART_MAX + 1 bytes. */
char *rl_pupil_text(void);

/** Reads `length` bytes of the buffer as the chart. 0: it is not valid, and there is no chart. */
int rl_pupil_chart(int length);

/** Reads `length` bytes of the buffer as the plan. 0: it is not valid or plans nothing, and there
    is no plan. */
int rl_pupil_plan(int length);

/** The song's key: 0..11, and 1 for minor, -1 for as the chart says. */
void rl_pupil_key(int tonic, int minor);

/** The pupil's harp (key 0..11, register -1..1, RlTuning) and what the pupil can play. */
void rl_pupil_player(int key, int range, int tuning, int draw_bends, int blow_bends, int overblows);

/** Finds the targets and the lane for the pupil's harp; to be called after any of the four above.
 */
void rl_pupil_line(void);

/** Lights the lamps, see rl_pupil_lamps(), for the chords now and next: the first `now` and the
    following `next` bytes of the buffer, as degrees; no bytes: no chord. `lit` 0: all lamps are
   out. `change`: the next chord's index among the changes, for its target; -1: not known. */
void rl_pupil_chords(int now, int next, int lit, int change);

/** Which lamps are lit from the next rl_pupil_chords() on: an RlShow; and the index among the
    changes of the chord that sounds, for its target, -1: not known. */
void rl_pupil_show(int show, int change);

/** The lamps, [hole - 1][technique]: 100 of them. */
const RlPupilLamp *rl_pupil_lamps(void);

/** A loop of the host, in bars of the form from bar 1 of chorus 1: inside it rl_pupil_place() says
    what the loop brings next. Both 0: none. */
void rl_pupil_loop(double from, double to);

/** The place `quarters` quarter notes after a reported one (chorus, bar as shown, beat from 0).
   NULL: there is no chart, or the reported place is not in it. */
const RlPupilPlace *rl_pupil_place(int chorus, int bar, double beat, double quarters);

/** The bar `ahead` (0..3) bars after a reported one (chorus, bar as shown; bar 0: not known, then
   the first bars of the form). NULL: there is no lane, or no such bar. */
const RlPupilLane *rl_pupil_lane(int chorus, int bar, int ahead);

/** How many bars the form has, the ending included; and one of them, four bytes: chords, beats,
   unit, and 1 where a row of the chart begins, 2 where the form or its ending ends. */
int            rl_pupil_bars(void);
const uint8_t *rl_pupil_bar(int index);

/** Writes a name into the buffer; returns its bytes. */
int rl_pupil_name(int which, int n);

/** Positions 1..12 of the pupil's harp in the song's key. */
int rl_pupil_position(void);

#endif
