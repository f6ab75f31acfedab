/* SPDX-License-Identifier: ISC */
#include "core/ear/keeper.h"

#include <math.h>
#include <string.h>

static const double step_seconds = 1.0 / RL_EAR_STEPS;

static const double yield_share = 0.15, yield_most = 4,
                    yield_tempo = 1.75;                                   /* of the seconds held */
static const double anchor_mass = 0.8, anchor_held = 4, anchor_most = 30; /* seconds */
static const double anchor_worth = 0.6, factor_seconds = 20, trust_seconds = 6;
static const double told_seconds = 12, expected_seconds = 20;
static const double settled_held = 8, settled_trust = 0.9, settled_mass = 0.8;
static const float  jump_plain = 3e-4F, jump_most = 0.2F;
static const float  rivals_worth = 2e-3F; /* each, every 2 s */

void
rl_keeper_init(RlKeeper *const k)
{
  memset(k, 0, sizeof(*k));
  k->shown      = (RlPointer){0, 30, 0, 0};
  k->anchor     = k->shown;
  k->anchor_age = 1e9;
}

static double
wrapped(const double at, const int beats)
{
  return at - beats * floor(at / beats);
}

static void
place_break(RlKeeper *const k, const RlPointer to)
{
  k->shown = to;
  k->held = k->doubt = k->trust = 0;
  k->expected                   = 0;
}

/* Carries the place on, drawn to the filter's best one as long as that is near. */
static void
place_carry(RlKeeper *const k, const RlPointer best, const int beats)
{
  const bool   anchored = k->doubt > 0.3 && k->anchor_age < 10;
  const double period   = anchored ? k->anchor.period : k->shown.period;
  k->shown.at           = wrapped(k->shown.at + 1 / period, beats);
  const double off = best.at - k->shown.at, error = off - beats * floor(off / beats + 0.5);
  const double tempo = fabs(best.period / k->shown.period - 1);
  k->held += step_seconds;
  k->told -= step_seconds;
  k->expected -= step_seconds;
  if (fabs(error) < 0.5) {
    k->shown.at = best.at;
    k->shown.period += (best.period - k->shown.period) * (tempo > 0.06 ? 0.1 : 0.02);
    k->shown.feel = best.feel;
    k->shown.lean = best.lean;
    k->doubt      = fmax(k->doubt - 2 * step_seconds, 0);
    return;
  }
  k->doubt += step_seconds;
  const double patience = fmin(yield_share * k->held, yield_most) * (tempo > 0.1 ? yield_tempo : 1);
  if (k->doubt > patience && k->told <= 0) {
    place_break(k, best);
  }
}

static void
anchor_carry(RlKeeper *const k, RlLattice *const l)
{
  k->anchor.at = wrapped(k->anchor.at + 1 / k->anchor.period, l->beats);
  k->anchor_age += step_seconds;
  if (k->mass > anchor_mass && k->held > anchor_held) {
    k->anchor.period = k->anchor_age > 0.1 ? k->shown.period : k->anchor.period;
    k->anchor.at     = k->shown.at;
    k->anchor.period += (k->shown.period - k->anchor.period) * 0.01;
    k->anchor_age = 0;
  }
  if (l->step % (2 * RL_EAR_STEPS) == 0 && k->anchor_age > 0.5 && k->anchor_age < anchor_most) {
    rl_lattice_sow(l, k->anchor, rl_keeper_jump(k) * l->sum * (float)anchor_worth);
  }
}

static void
rivals_offer(RlLattice *const l)
{
  if (l->step % (2 * RL_EAR_STEPS) == RL_EAR_STEPS) {
    rl_lattice_offer(l, l->best, rivals_worth * l->sum);
  }
}

void
rl_keeper_step(RlKeeper *const k, RlLattice *const l, const double any, const double bars)
{
  const double form = log(l->gain + 1e-30), fade = 1 - step_seconds / factor_seconds;
  k->versus_any  = k->versus_any * fade + form - log(any + 1e-30);
  k->versus_bars = k->versus_bars * fade + form - log(bars + 1e-30);
  place_carry(k, l->best, l->beats);
  k->mass = (double)rl_lattice_mass(l, k->shown.at);
  k->trust += (k->mass - k->trust) * step_seconds / trust_seconds;
  anchor_carry(k, l);
  rivals_offer(l);
}

float
rl_keeper_jump(const RlKeeper *const k)
{
  const float more = k->versus_any < -20 ? 100 : k->versus_any < -10 ? 10 : 1;
  return fminf(jump_plain * more, jump_most);
}

bool
rl_keeper_settled(const RlKeeper *const k)
{
  return k->held > settled_held && k->trust > settled_trust && k->mass > settled_mass &&
         k->versus_any > 0;
}

void
rl_keeper_expect(RlKeeper *const k, const RlPointer place)
{
  place_break(k, place);
  k->anchor     = place;
  k->anchor_age = 0;
  k->trust      = 1;
  k->held       = told_seconds;
  k->told       = 0;
  k->expected   = expected_seconds;
}

void
rl_keeper_told(RlKeeper *const k, const RlPointer place)
{
  rl_keeper_expect(k, place);
  k->told = told_seconds;
}
