/* SPDX-License-Identifier: ISC */
/* The forward filter: how likely the band is at each place of the form, at each tempo, in each
   feel. A state is a feel, a felt beat of the form, a tempo and a cell of 20 ms within the beat:
   the bar pointer of Whiteley, Cemgil and Godsill, "Bayesian modelling of temporal structure in
   musical audio", ISMIR 2006, with states as Krebs, Boeck and Widmer lay them out, "An efficient
   state-space model for joint tempo and meter tracking", ISMIR 2015. A row is all cells of one
   feel, tempo and beat; rows of no weight sleep. */
#ifndef RL_CORE_EAR_LATTICE_H
#define RL_CORE_EAR_LATTICE_H

#include "core/ear/hearing.h"
#include "core/ear/score.h"

enum {
  RL_EAR_STEPS      = 50,  /**< a second */
  RL_EAR_FEELS      = 4,   /**< as learned: see learned.h */
  RL_EAR_TEMPI_MAX  = 112, /**< 50 to 220 felt beats a minute, 1.4 % apart */
  RL_EAR_PHASES     = 24,  /**< of a beat, in the learned tables */
  RL_EAR_CELLS_MAX  = 64,
  RL_LATTICE_SPREAD = 4, /**< tempi reached over a beat line, down; up one less */
  RL_LATTICE_REACH  = 8  /**< both and its own: two times four */
};

/** What an observation is worth. */
typedef struct {
  uint8_t      symbol[2]; /**< of the two hops of this step */
  const float *chord;     /**< weight of each chord of the score */
  float        jump;      /**< probability a second of being anywhere else, 0..0.2 */
} RlEvidence;

/** A place: felt beats into the form, and how long one lasts, in steps. */
typedef struct {
  double at, period;
  int    feel;
} RlPointer;

/** The first and the last tempo of a feel and a beat with rows that are awake; none if last <
 * first. */
typedef struct {
  int16_t first, last;
} RlRange;

/** Its state; the arrays lie behind it in the caller's memory. */
typedef struct {
  const RlScore *score;
  int            beats, tempi, rows;       /**< rows: feels * beats * tempi */
  int            cells;                    /**< of one feel */
  double         period[RL_EAR_TEMPI_MAX]; /**< steps a beat */
  float          prior[RL_EAR_TEMPI_MAX];  /**< of each tempo, sum 1 */
  float          cost[RL_EAR_TEMPI_MAX];   /**< of staying at it, a step */
  float          turn[RL_EAR_TEMPI_MAX][RL_LATTICE_REACH];
  uint8_t        longest[RL_EAR_TEMPI_MAX];
  uint8_t        phase[2][RL_EAR_TEMPI_MAX][RL_EAR_CELLS_MAX + 4]; /**< of each hop in each cell */
  float          worth[128]; /**< what a letter of the learned tables is worth */
  float          onset[2][RL_EAR_FEELS][RL_BEAT_KINDS][RL_EAR_PHASES]; /**< of this step's hops */
  float          weight[RL_EAR_FEELS][RL_EAR_TEMPI_MAX][RL_BEAT_KINDS][RL_EAR_CELLS_MAX + 4];
  uint32_t       made[RL_EAR_FEELS][RL_EAR_TEMPI_MAX]; /**< the step that `weight` is of */
  uint32_t       step;
  float          sum;  /**< of all cells, near 1 */
  double         gain; /**< of this step: sum of weighed by sum before, chords alone */
  RlPointer      best;
  int            weighed; /**< cells that this step went through */
  int32_t       *offset;  /**< [tempo][beat] of a row in a feel's cells */
  uint8_t       *length;  /**< [tempo][beat] cells of a row */
  float         *p;       /**< [feel][offset] */
  float         *inflow;  /**< [feel][beat][tempo], with room for RL_LATTICE_SPREAD on both sides */
  uint8_t       *awake;   /**< [feel][beat][tempo] */
  RlRange       *range, *reached; /**< [feel][beat] */
} RlLattice;

/** Bytes behind it for a form of so many felt beats. */
size_t rl_lattice_bytes(int beats);

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

/** Adds `mass` at a place, in all feels and the tempi next to its own. */
void rl_lattice_sow(RlLattice *lattice, RlPointer place, float mass);

/** The share of the weight within half a beat of a place. */
float rl_lattice_mass(const RlLattice *lattice, double at);

#endif
