/* SPDX-License-Identifier: ISC */
/* The best way through a whole recording, looking both ways: which beat of the form ends where, by
   dynamic programming over beats of whole hops (10 ms), once key, feel and a range of tempi are
   known. Before, after and between stretches of the form it may stay outside. For programs, not for
   a plugin: memory grows with the recording. */
#ifndef RL_CORE_EAR_PATH_H
#define RL_CORE_EAR_PATH_H

#include "core/ear/lattice.h"

enum { RL_PATH_HOPS = 100 /**< a second */ };

/** What was heard in one hop. */
typedef struct {
  uint8_t symbol;
  float chord[RL_CHORD_CLASSES]; /**< nepers of each chord, at most 0; all 0 where nothing sounds */
} RlPathHop;

/** What is looked for. */
typedef struct {
  const RlScore   *score;
  const RlPathHop *hop;
  int              hops;
  int              key, feel, lean;
  int              shortest, longest; /**< hops of a beat */
} RlPathSearch;

/** A beat on the way. */
typedef struct {
  int    beat;    /**< of the form */
  double hop;     /**< where it begins, smoothed over its neighbours */
  bool   entered; /**< the form is entered here, from outside */
} RlPathBeat;

/** Bytes of scratch memory for a search. */
size_t rl_path_bytes(const RlPathSearch *search);

/** Finds it. `memory`: rl_path_bytes(), aligned for pointers. Returns the number of beats in
   `beats`, at most `room`, in order of time; in `worth`, what it is worth, in nepers, to be held
   against that of another search. */
int rl_path_find(const RlPathSearch *search, void *memory, RlPathBeat *beats, int room,
                 float *worth);

#endif
