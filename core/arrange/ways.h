/* SPDX-License-Identifier: ISC */
/* A phrase made to fit: where it does not sit on the harp in hand, the ways in which a player would
   take it all the same. A phrase sits if every note of it can be played as it is written, in its
   octave. Not for the audio thread; no heap, no state; any other thread. */
#ifndef RL_CORE_ARRANGE_WAYS_H
#define RL_CORE_ARRANGE_WAYS_H

#include "core/arrange/tab.h"

/** How it is taken. */
typedef enum {
  RL_WAY_AS_IT_IS, /**< it sits */
  RL_WAY_OCTAVE,   /**< on the harp in hand, all of it in another octave */
  RL_WAY_HARP,     /**< on another harp that the player owns */
  RL_WAY_POSITION, /**< in another position: on a harp in another key, not owned, of the register
                        and tuning in hand */
  RL_WAY_NEAREST,  /**< on the harp in hand, the nearest notes that it has in place of others */
  RL_WAY_KINDS
} RlWayKind;

/** How hard a phrase is on a harp, by what it costs for each onset: COSTS.md says where the lines
    are drawn. */
typedef enum { RL_EASY, RL_MEDIUM, RL_HARD, RL_DIFFICULTIES } RlDifficulty;

enum { RL_WAYS_MAX = 5 };

typedef struct {
  RlWayKind    kind;
  RlHarpChoice harp;    /**< on which */
  int8_t       octaves; /**< up; but for RL_WAY_NEAREST all of it, and as much as it says */
  int32_t      cost;    /**< as of rl_tab_fit(), and RL_TAB_OCTAVE for each octave */
  uint16_t     onsets;
  uint16_t     changed, left_out, moved; /**< notes: replaced, left out, in another octave than
                                              the first is */
  uint16_t bends, overs;                 /**< notes bent; overblows and overdraws */
} RlWay;

/** What is to be played, and on what. */
typedef struct {
  const RlNote       *notes; /**< as rl_phrase_move() has them */
  int                 count;
  const RlHarmony    *over;
  RlHarpChoice        harp; /**< in hand */
  RlPlayer            player;
  const RlHarpChoice *owned;
  int                 owned_count;
} RlWaysInput;

/** Scratch memory, from the caller; need not be cleared. */
typedef struct {
  RlNote         note[RL_PHRASE_NOTES_MAX];
  RlTab          tab[RL_PHRASE_NOTES_MAX];
  RlTabWorkspace room;
} RlWaysWorkspace;

/** Finds the ways to take it, the cheapest first: RL_WAY_AS_IT_IS alone if it sits; else the
    cheapest octave below and above, the cheapest harp owned and the cheapest one that is not, and
    the nearest notes. Of harps that cost the same the first given, of keys the one nearest above C.
    Returns how many. */
int rl_ways_find(const RlWaysInput *input, RlWaysWorkspace *workspace, RlWay ways[RL_WAYS_MAX]);

/** The tab of a way, one for each note, with every note as `notes` has them moved by its octaves:
    RlTab.octaves counts from there. */
void rl_way_tab(const RlWaysInput *input, const RlWay *way, RlWaysWorkspace *workspace, RlTab *tab);

/** What a phrase that sits costs on the harp in hand, as written or, where it does not, in the
    octave that costs least; -1: it sits in none. */
int32_t rl_ways_cost(const RlWaysInput *input, RlWaysWorkspace *workspace);

/** How hard something is that costs that much. */
RlDifficulty rl_difficulty(int32_t cost, int onsets);

/** `easy`, `medium`, `hard`. */
const char *rl_difficulty_name(RlDifficulty difficulty);

#endif
