/* SPDX-License-Identifier: ISC */
/* How far a way found is to be trusted: is it this song, and does the form lie where it was put. */
#ifndef RL_UI_LISTEN_TRUST_H
#define RL_UI_LISTEN_TRUST_H

#include "ui/listen/way.h"

/** What speaks for the song. */
typedef enum {
  RL_TRUST_EXPLAINS, /**< as in RlWay, nepers a second, at most 8 */
  RL_TRUST_TONES,    /**< as in RlWay, at most 4 */
  RL_TRUST_ENTRIES,  /**< a minute, at most 6 */
  RL_TRUST_STEADY,   /**< as in RlWay, at most 3 */
  RL_TRUST_AGREES,   /**< 0..1: the first pass with the way, where it does so most */
  RL_TRUST_SIGNS
} RlTrustSign;

/** How likely, 0..1. */
typedef struct {
  double form;   /**< that the form is in it, at this tempo */
  double place;  /**< if so: that it lies where it was put */
  bool   agrees; /**< the first pass does, somewhere */
} RlTrust;

/** Weights of a logistic curve, the last one alone; made by tests/ear/follow/learn_trust.py. */
extern const double rl_trust_form[RL_TRUST_SIGNS + 1];
extern const double rl_trust_place[2]; /**< of RlWayPlace.ahead */

/** What speaks for a way. `agrees`: see RL_TRUST_AGREES. */
void rl_trust_signs(const RlWay *way, double agrees, double sign[RL_TRUST_SIGNS]);

/** How far it is to be trusted; `ahead` as in RlWayPlace. */
RlTrust rl_trust(const double sign[RL_TRUST_SIGNS], double ahead);

#endif
