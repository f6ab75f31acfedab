/* SPDX-License-Identifier: ISC */
/* The best way through a whole recording, looking both ways: which beat of the form ends where, by
   dynamic programming over beats of whole hops (10 ms), once key, feel and a range of tempi are
   known. Before, after and between stretches of the form it may stay outside. For programs, not for
   a plugin: memory grows with the recording. */
#ifndef RL_CORE_EAR_PATH_H
#define RL_CORE_EAR_PATH_H

#include "core/ear/lattice.h"
#include "core/ear/pulse.h"

enum { RL_PATH_HOPS = 100 /**< a second */ };

/** What was heard in one hop. */
typedef struct {
  uint8_t symbol;
  float chord[RL_CHORD_CLASSES]; /**< nepers of each chord, at most 0; all 0 where nothing sounds */
  float bass[12];                /**< as RlHeard; all 0 where nothing sounds */
  float pulse[RL_PULSE_WORDS];   /**< as rl_pulse_read(); all 0 where nobody asked the net */
} RlPathHop;

/** What is looked for. */
typedef struct {
  const RlScore   *score;
  const RlPathHop *hop;
  int              hops;
  int              key, lean;
  int              shortest, longest; /**< hops of a beat */
} RlPathSearch;

/** A beat on the way. */
typedef struct {
  int    beat;    /**< of the form */
  double hop;     /**< where it begins */
  bool   entered; /**< the form is entered here, from outside */
} RlPathBeat;

/** Bytes of scratch memory for a search. */
size_t rl_path_bytes(const RlPathSearch *search);

/** Takes what was heard into `memory`: rl_path_bytes(), aligned for pointers. The lean of the
   search may change after that. */
void rl_path_begin(const RlPathSearch *search, void *memory);

/** Finds it. Returns the number of beats in `beats`, at most `room`, in order of time; in `worth`,
   what it is worth, in nepers, to be held against that of another search. */
int rl_path_find(const RlPathSearch *search, void *memory, RlPathBeat *beats, int room,
                 float *worth);

/** What no form at all is worth, in nepers. */
float rl_path_none(const RlPathSearch *search);

/** What speaks for a way, in nepers. */
typedef struct {
  float onsets;     /**< the same feel goes on from beat to beat; at half the search's weight */
  float onsets_any; /**< as the search has them: any feel, each beat by itself */
  float pulse;      /**< beats and halves, as the search has them */
  float bass;
  float chords[RL_EAR_LEANS]; /**< by when they change */
} RlPathWords;

/** Sums what is heard on a way's beats, however it was found. */
void rl_path_words(const RlPathSearch *search, void *memory, const RlPathBeat *beats, int count,
                   RlPathWords *words);

#endif
