/* SPDX-License-Identifier: ISC */
#include "plugin/rt/audition.h"

#include <stddef.h>

static const double fade = 0.01; /* seconds */

void
rl_audition_init(RlAudition *const a, RlAuditionDesk *const desk, const double rate)
{
  a->desk = desk;
  a->step = (float)(1 / (fade * rate));
}

void
rl_audition_drop(RlAudition *const a)
{
  a->dropped = atomic_load_explicit(&a->desk->wanted, memory_order_relaxed);
}

static bool
is_wanted(const RlAudition *const a)
{
  const uint32_t number = a->loan->number;
  return number == atomic_load_explicit(&a->desk->wanted, memory_order_relaxed) &&
         number != a->dropped;
}

static void
take(RlAudition *const a)
{
  a->loan = atomic_exchange_explicit(&a->desk->offered, NULL, memory_order_acquire);
  a->at   = 0;
  a->gain = 0;
}

/* True when it is silent from here on. */
static bool
mix(RlAudition *const a, float *const left, float *const right, const uint32_t frames,
    const bool goes_on)
{
  const RlAuditionLoan *const loan = a->loan;
  const float                 step = goes_on ? a->step : -a->step;
  uint32_t                    i    = 0;
  for (; i < frames && a->at < loan->frames && (goes_on || a->gain > 0); ++i, ++a->at) {
    const float gain  = a->gain + step;
    a->gain           = gain > 1 ? 1 : gain < 0 ? 0 : gain;
    const float sound = a->gain * loan->sound[a->at];
    if (left) {
      left[i] += sound;
    }
    if (right && right != left) {
      right[i] += sound;
    }
  }
  return i < frames;
}

/* False while the worker has not fetched the one before. */
static bool
give_back(RlAudition *const a)
{
  RlAuditionDesk *const desk = a->desk;
  if (atomic_load_explicit(&desk->returned, memory_order_acquire)) {
    return false;
  }
  atomic_store_explicit(&desk->returned, a->loan, memory_order_release);
  a->loan = NULL;
  return true;
}

bool
rl_audition_play(RlAudition *const a, float *const left, float *const right, const uint32_t frames,
                 const bool allowed)
{
  bool given = false;
  if (!a->loan) {
    take(a);
  }
  if (a->loan) {
    const bool wanted  = is_wanted(a);
    const bool goes_on = wanted && allowed;
    a->loan->refused   = a->loan->refused || (wanted && !allowed && !a->at);
    a->dropped         = goes_on ? a->dropped : a->loan->number; /* it does not begin again */
    given              = mix(a, left, right, frames, goes_on) && give_back(a);
  }
  a->busy = a->loan;
  return given;
}
