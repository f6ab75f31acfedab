/* SPDX-License-Identifier: ISC */
/* The best way of the form through what was heard of a recording: several keys and tempi are tried
   on a part of it, the best of them on all, and that is held against those it is easily taken for.
 */
#ifndef RL_UI_LISTEN_WAY_H
#define RL_UI_LISTEN_WAY_H

#include "ui/listen/place.h"

enum { RL_WAY_KEYS = 3 };

/** What a first pass made of it, and what somebody said. */
typedef struct {
  int       key[RL_WAY_KEYS], keys;
  double    tempo; /**< felt beats a minute; 0: any */
  bool      told;  /**< somebody said the tempo */
  RlWayTold at;
} RlWayGuess;

/** What was found; free beat. */
typedef struct {
  RlPathBeat *beat;
  int         beats, key;
  double      tempo;    /**< felt beats a minute, the middle one */
  double      explains; /**< nepers a second better than no form does */
  double      tones;    /**< those of chords and bass, where the form is */
  double      entries;  /**< a minute: how often the form is entered from outside */
  double      steady;   /**< nepers a second more than the next best tempo; HUGE_VAL: none */
  double      other;    /**< that tempo */
  RlWayPlace  place;
} RlWay;

/** The middle one of `count` numbers, which it sorts; 0 of none. */
double rl_way_middle(double *number, int count);

/** Finds it; false if memory is wanting. No beats where nothing of the form was found. */
bool rl_way_find(const RlScore *score, const RlPathHop *hop, int hops, const RlWayGuess *guess,
                 RlWay *way);

#endif
