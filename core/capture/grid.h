/* SPDX-License-Identifier: ISC */
/* Private to the quantiser (quantise*.c): what its parts share. Likelihoods are natural logarithms
   up to a constant; costs are negative log-likelihoods. */
#ifndef RL_CORE_CAPTURE_GRID_H
#define RL_CORE_CAPTURE_GRID_H

#include "core/capture/division.h"
#include "core/capture/quantise.h"

/* One hypothesis of how the whole take was played. */
typedef struct {
  double swing;     /* 0.5: straight */
  double behind_ms; /* every note so late */
  double spread_ms; /* standard deviation of onsets */
  double gap;       /* mean time between the end of a note and the next onset, in beats */
} RlGridGuess;

/* A take being quantised. */
typedef struct {
  RlGridNote       *note;
  int               notes, onsets, edges, beats;
  const RlGridBeat *beat;
  double            ms_per_quarter;
  RlGridWorkspace  *workspace;
} RlGridTask;

enum { RL_GRID_CROWDED = 12 }; /* cost of two onsets on one place */

/* ---- quantise_onsets.c ---- */

/* Joins notes that begin together into onsets, and lists the beginning and end of each in order of
   time. */
void rl_grid_onsets_find(RlGridTask *t);

/* ---- quantise_weigh.c ---- */

/* A place in a beat, and how likely it is. */
typedef struct {
  int    part;
  double likely;
} RlGridSpot;

/* A beat divided one way. */
typedef struct {
  double   likely;
  unsigned set; /* places that notes begin on, a bit each, the end of the beat included */
} RlGridCut;

/* The beat of that index; past the last one, one like the last. */
const RlGridBeat *rl_grid_beat(const RlGridTask *t, int beat);

/* The nearest place for an onset at `time`, in beats from the beat's beginning, with deviation
   `spread` in beats. */
RlGridSpot rl_grid_on_spot(const RlDivision *d, const RlGridGuess *g, double time, double spread);

/* The same for an end: on a place, or somewhat before it. */
RlGridSpot rl_grid_off_spot(const RlDivision *d, const RlGridGuess *g, double time, double spread);

/* What a rest behind that onset costs. */
double rl_grid_rest_cost(const RlGridTask *t, const RlGridGuess *g, int onset);

/* How likely each note lasts up to the next onset, into the workspace: once for each guess at
   spread and gap. */
void rl_grid_gaps_weigh(const RlGridTask *t, const RlGridGuess *g);

/* How likely the edges in a beat are if it is divided so. */
RlGridCut rl_grid_cut_weigh(const RlGridTask *t, const RlGridGuess *g, int beat,
                            const RlDivision *d);

/* ---- quantise_viterbi.c ---- */

/* The most likely division of every beat, by dynamic programming from beat to beat (Viterbi), and
   how likely the whole is. */
double rl_grid_beats_divide(const RlGridTask *t, const RlGridGuess *g);

/* Follows the best way back: the division of each beat, into workspace->division. */
void rl_grid_backtrack(const RlGridTask *t);

/* ---- quantise_place.c ---- */

/* Puts every note on its place and gives it its length, once the beats are divided. */
void rl_grid_notes_place(const RlGridTask *t, const RlGridGuess *g);

/* What the player is told of how the take was played. */
RlGridFeel rl_grid_feel(const RlGridTask *t, const RlGridGuess *g);

#endif
