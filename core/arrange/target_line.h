/* SPDX-License-Identifier: ISC */
/* The target line: for every chord of the form one note to land on, chosen so that together they
   cost least, by dynamic programming over the whole form. The costs are our own judgement, tuned on
   ten lines written by hand (tests/core/arrange/hand_lines.txt); COSTS.md says them in words. Not
   for the audio thread (a few milliseconds for a long form); no heap, no state; any other thread.
 */
#ifndef RL_CORE_ARRANGE_TARGET_LINE_H
#define RL_CORE_ARRANGE_TARGET_LINE_H

#include "core/chart/form.h"
#include "core/harmony/harp.h"

/** A note to land on; `hole` 0 where there is none (N.C., or nothing the player reaches). */
typedef struct {
  uint8_t hole;      /**< 1..10 */
  uint8_t technique; /**< RlTechnique */
  uint8_t degree;    /**< RlDegree against the chord it belongs to */
  uint8_t note;      /**< MIDI number, 0 to 127 */
} RlTarget;

/** One target for each change of a form, by its index. */
typedef struct {
  RlTarget target[RL_CHORDS_MAX];
} RlTargetLine;

/** What a line costs, in halves of a semitone: the whole table of weights. Of lines that cost the
    same the one is taken whose first difference lies in the lower hole, then in the technique that
    comes first in RlTechnique. */
enum {
  RL_COST_SEMITONE   = 2, /**< for each semitone from target to target */
  RL_COST_HOLE       = 1, /**< for each hole crossed */
  RL_COST_STAY       = 2, /**< for the same pitch again: a line that moves shows the harmony */
  RL_COST_GUIDE_TONE = 0, /**< to land on a third or seventh */
  RL_COST_ROOT       = 12,
  RL_COST_FIFTH      = 14,
  RL_COST_BEND       = 2, /**< for each semitone bent */
  RL_COST_OVER       = 8, /**< an overblow or overdraw */
  RL_COST_HIGH       = 8  /**< to land in the holes 7 to 10 */
};

enum {
  RL_CANDIDATES_MAX = 64,        /**< no harp has more notes, bends and overblows in all */
  RL_GUIDES         = 5 * 5 * 4, /**< thirds, fifths, sevenths: what landing depends on */
  RL_CHORD_KINDS    = 12 * RL_GUIDES
};

/** The notes a chord could be landed on, lower holes first, with what landing there costs. */
typedef struct {
  uint8_t  count;
  RlTarget at[RL_CANDIDATES_MAX];
  uint8_t  cost[RL_CANDIDATES_MAX];
} RlLandings;

/** Scratch memory, from the caller; need not be cleared. About 660 KiB. */
typedef struct {
  RlLandings kind[RL_CHORD_KINDS];
  uint16_t   kind_of[RL_CHORDS_MAX]; /**< by change */
  uint16_t   chain[RL_CHORDS_MAX];   /**< the changes that have landings, in order */
  uint8_t    next[RL_CHORDS_MAX][RL_CANDIDATES_MAX];
} RlTargetLineWorkspace;

/** Finds the line, one target for each change of the form. The chorus is a cycle: its last target
    leads to its first; a last chord that is also the first has the same target. The ending goes on
    from the last target of the chorus. */
void rl_target_line_find(const RlForm *form, RlKey key, const RlHarp *harp, RlPlayer player,
                         RlTargetLineWorkspace *workspace, RlTargetLine *line);

/** What going from one target to the next costs, without landing there. */
int rl_target_line_step(RlTarget from, RlTarget to);

/** What landing on a target costs; negative if it is no target (not root, third, fifth, seventh).
 */
int rl_target_line_landing(RlTarget target);

#endif
