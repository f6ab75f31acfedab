/* SPDX-License-Identifier: ISC */
#include "ui/listen/trust.h"

#include <math.h>

/* Beyond which more of it says nothing more. */
static const double most[RL_TRUST_SIGNS] = {8, 4, 6, 3, 1};
static const double ahead_most           = 60;
static const double agrees_least         = 0.25;
static const double alone                = 1.5; /* for RlWay.steady if no other tempo was tried */

void
rl_trust_signs(const RlWay *const way, const double agrees, double sign[RL_TRUST_SIGNS])
{
  const double steady              = way->steady == HUGE_VAL ? alone : way->steady;
  const double all[RL_TRUST_SIGNS] = {way->explains, way->tones, way->entries, steady, agrees};
  for (int i = 0; i < RL_TRUST_SIGNS; ++i) {
    sign[i] = fmax(fmin(all[i], most[i]), -most[i]);
  }
}

static double
logistic(const double x)
{
  return 1 / (1 + exp(-x));
}

RlTrust
rl_trust(const double sign[RL_TRUST_SIGNS], const double ahead)
{
  double form = rl_trust_form[RL_TRUST_SIGNS];
  for (int i = 0; i < RL_TRUST_SIGNS; ++i) {
    form += rl_trust_form[i] * sign[i];
  }
  const double place = rl_trust_place[0] * fmin(ahead, ahead_most) + rl_trust_place[1];
  return (RlTrust){logistic(form), ahead == HUGE_VAL ? 1 : logistic(place),
                   sign[RL_TRUST_AGREES] >= agrees_least};
}
