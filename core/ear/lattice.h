/* SPDX-License-Identifier: ISC */
/* The forward filter: how likely the band is at each place of the form, at each tempo, and whether
   it pushes. A state is a lean, a felt beat of the form, a tempo and a cell of 20 ms within the
   beat: the bar pointer of Whiteley, Cemgil and Godsill, "Bayesian modelling of temporal structure
   in musical audio", ISMIR 2006, with states as Krebs, Boeck and Widmer lay them out, "An efficient
   state-space model for joint tempo and meter tracking", ISMIR 2015. A row is all cells of one
   lean, tempo and beat; rows of no weight sleep. */
#ifndef RL_CORE_EAR_LATTICE_H
#define RL_CORE_EAR_LATTICE_H

#include "core/ear/rhythm.h"

enum {
  RL_LATTICE_SPREAD = 4, /**< tempi reached over a beat line, down; up one less */
  RL_LATTICE_REACH  = 8  /**< both and its own: two times four */
};

/** How the chords lie against the beats. */
enum {
  RL_LEAN_ON,
  RL_LEAN_AHEAD,  /**< half a beat early, as bands play that push */
  RL_LEAN_BEHIND, /**< half a beat late: the bass is on the beat, the chord comes after it */
  RL_EAR_LEANS
};

/** What an observation is worth. */
typedef struct {
  uint8_t      symbol[2]; /**< of the two hops of this step */
  const float *chord;     /**< weight of each chord of the score */
  const float *bass; /**< what the bass is worth: [RlStand][chord], RL_SCORE_CHORDS_MAX in a row */
  RlGrid       grid; /**< where in the beat the band is likely to be */
  float        jump; /**< probability a second of being anywhere else, 0..0.2 */
  bool settled;      /**< nothing speaks against the place: little is kept of what is not near it */
} RlEvidence;

/** A place: felt beats into the form, and how long one lasts, in steps. */
typedef struct {
  double at, period;
  int    feel, lean;
} RlPointer;

/** The first and the last tempo of a lean and a beat with rows that are awake; none if last <
 * first. */
typedef struct {
  int16_t first, last;
} RlRange;

/** Its state; the arrays lie behind it in the caller's memory. */
typedef struct {
  const RlScore *score;
  RlRhythm       rhythm;
  int            beats, tempi, rows;       /**< rows: leans * beats * tempi */
  int            cells;                    /**< of one lean */
  double         period[RL_EAR_TEMPI_MAX]; /**< steps a beat */
  float          prior[RL_EAR_TEMPI_MAX];  /**< of each tempo, sum 1 */
  float          cost[RL_EAR_TEMPI_MAX];   /**< of staying at it, a step */
  float          turn[RL_EAR_TEMPI_MAX][RL_LATTICE_REACH];
  float          later[RL_EAR_LEANS][RL_EAR_TEMPI_MAX][RL_EAR_CELLS_MAX + 4]; /**< of a row's two
                                               chords, how much the later one sounds in a cell */
  uint32_t  step;
  float     asleep; /**< share of the sum: a row with less sleeps */
  float     sum;    /**< of all cells, near 1 */
  double    gain;   /**< of this step: sum of weighed by sum before, chords alone */
  RlPointer best;
  int       weighed; /**< cells that this step went through */
  int32_t  *offset;  /**< [tempo][beat] of a row in a lean's cells */
  uint8_t  *length;  /**< [tempo][beat] cells of a row */
  float    *p;       /**< [lean][offset] */
  float    *inflow;  /**< [lean][beat][tempo], with room for RL_LATTICE_SPREAD on both sides */
  uint8_t  *awake;   /**< [lean][beat][tempo] */
  RlRange  *range, *reached; /**< [lean][beat] */
} RlLattice;

/** Bytes behind it. */
size_t rl_lattice_bytes(const RlScore *score);

/** `memory`: that many bytes, aligned for floats. Starts spread over all places and tempi. */
void rl_lattice_init(RlLattice *lattice, void *memory, const RlScore *score);

/** Anywhere again, at the tempi of `share` (a weight each), or at any if it is NULL. */
void rl_lattice_spread(RlLattice *lattice, const float share[RL_EAR_TEMPI_MAX]);

/** A tempo from which the next spread or jump starts out, felt beats a minute; 0: any. */
void rl_lattice_expect(RlLattice *lattice, double tempo);

/** How the weight lies over the tempi, sum 1. */
void rl_lattice_tempi(const RlLattice *lattice, float share[RL_EAR_TEMPI_MAX]);

/** On by a step. */
void rl_lattice_step(RlLattice *lattice, const RlEvidence *evidence);

/** Adds `mass` at a place, in every lean and at the tempi next to its own. */
void rl_lattice_sow(RlLattice *lattice, RlPointer place, float mass);

/** Adds `mass` at a place and at each of those it is easily taken for: half a beat and a beat
   away, in every lean. */
void rl_lattice_offer(RlLattice *lattice, RlPointer place, float mass);

/** What a step's evidence says of a place: logarithms of what it weighs there, in nepers; the
    chords' for each lean. */
typedef struct {
  float onset, bass, chord[RL_EAR_LEANS];
} RlWord;

/** Of the place `place` after a step of `evidence`. */
RlWord rl_lattice_word(const RlLattice *lattice, RlPointer place, const RlEvidence *evidence);

/** The share of the weight within half a beat of a place. */
float rl_lattice_mass(const RlLattice *lattice, double at);

#endif
