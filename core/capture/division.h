/* SPDX-License-Identifier: ISC */
/* The ways to divide a beat that are heard in blues and jazz, and how likely each is: the tables
   and costs of core/capture/quantise (common practice, no source). Costs are logarithms of how much
   less likely something is than the likeliest. Pure; any thread. */
#ifndef RL_CORE_CAPTURE_DIVISION_H
#define RL_CORE_CAPTURE_DIVISION_H

#include <stdbool.h>
#include <stdint.h>

enum { RL_DIVISIONS = 7 };

/** In how many parts a beat falls. */
typedef struct {
  uint8_t       parts, beats; /**< beats: which it is for, see division.c */
  bool          swings;       /**< its second half is late */
  double        cost, swung;  /**< of it alone; and with swing */
  const double *pattern;      /**< by the places that notes begin on, a bit each; NULL: see
                                 division.c */
} RlDivision;

/** All of them; the first is the undivided beat. */
extern const RlDivision rl_divisions[RL_DIVISIONS];

/** May a beat be divided so? `dotted`: it falls into three; `swung`: off-beats are late. */
bool rl_division_may(const RlDivision *division, bool dotted, bool swung);

/** Where place `part` (0 to `parts`, the end of the beat) lies in its beat, 0 to 1, with off-beats
   at `swing` of it. */
double rl_division_at(const RlDivision *division, double swing, int part);

/** The place nearest to `time` (in beats from the beat's beginning). */
int rl_division_near(const RlDivision *division, double swing, double time);

/** What it costs to divide a beat of `ms` milliseconds so, with notes beginning on the places of
   `set` (a bit each, the end of the beat included). */
double rl_division_cost(const RlDivision *division, unsigned set, bool dotted, bool swung,
                        double ms);

/** What speaks for division `after` with the places `set`, right after division `before` with the
   places `set_before` (indexes of rl_divisions). */
double rl_division_after(int before, unsigned set_before, int after, unsigned set, bool dotted);

#endif
