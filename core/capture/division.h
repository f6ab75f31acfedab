/* SPDX-License-Identifier: ISC */
/* The ways to divide a beat that are heard in blues and jazz, and how likely each is: the prior of
   core/capture/quantise (our own judgement). A cost is a negative log-likelihood (natural
   logarithm) against the likeliest choice: 0 is the likeliest, 1 is e times less likely. No heap,
   no state; any thread. */
#ifndef RL_CORE_CAPTURE_DIVISION_H
#define RL_CORE_CAPTURE_DIVISION_H

#include <stdbool.h>
#include <stdint.h>

enum { RL_DIVISIONS = 7 };

/** Into how many parts a beat is divided. */
typedef struct {
  uint8_t       parts;       /**< 1, 2, 3, 4, 6 or 12 */
  uint8_t       beats;       /**< which beats it is for, plain or dotted: a set, see division.c */
  bool          swings;      /**< its second half begins at the swing */
  double        cost, swung; /**< what it costs by itself in straight time, and in swing */
  const double *pattern;     /**< costs by the set of parts that notes begin on, a bit each; NULL:
                                  see division.c */
} RlDivision;

/** All ways to divide a beat; the first is the undivided beat. */
extern const RlDivision rl_divisions[RL_DIVISIONS];

/** May a beat be divided so? `dotted`: the beat is a dotted note, which falls into three; `swung`:
    the take swings. */
bool rl_division_may(const RlDivision *division, bool dotted, bool swung);

/** Where place `part` (0 to `parts`, which is the end of the beat) lies in its beat, 0 to 1.
    `swing`: where the second half of a swung beat begins, above 0 and below 1; 0.5 is straight. */
double rl_division_at(const RlDivision *division, double swing, int part);

/** The place, 0 to `parts`, nearest to `time` (in beats from the beat's beginning; any). */
int rl_division_near(const RlDivision *division, double swing, double time);

/** The cost of dividing a beat of `ms` milliseconds so, with notes beginning on the places of `set`
    (a bit each; bit `parts`, the end of the beat, is ignored). */
double rl_division_cost(const RlDivision *division, unsigned set, bool dotted, bool swung,
                        double ms);

/** How much more likely (a difference of log-likelihoods, 0 or more) division `after` with the
    places `set` is right after division `before` with the places `set_before`. Divisions are
   indices in rl_divisions. */
double rl_division_after(int before, unsigned set_before, int after, unsigned set, bool dotted);

#endif
