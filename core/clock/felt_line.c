/* SPDX-License-Identifier: ISC */
#include "core/clock/felt_line.h"

#include <math.h>

RlPulse
rl_felt_line_pulse(const RlFeltLine *const l, const int64_t frame)
{
  const double at      = (double)(frame - l->at);
  const bool   bending = at < l->bend;
  const double steady  = l->interval > 0 ? 1 / l->interval : 0;
  RlPulse      pulse   = {.known = l->known, .rolling = l->rolling, .sure = l->sure};
  pulse.felt           = !l->rolling ? l->from
                         : bending   ? l->from + l->slope * at
                                     : l->target + (at - l->bend) * steady;
  pulse.per_frame      = !l->rolling ? 0 : bending ? l->slope : steady;
  pulse.straight       = l->rolling && bending ? (int64_t)ceil(l->bend - at) : INT64_MAX;
  pulse.tempo          = steady * l->rate * 60;
  return pulse;
}

void
rl_felt_line_begin(RlFeltLine *const l, const int64_t frame, const double felt,
                   const double interval)
{
  l->interval = interval;
  l->known    = true;
  l->rolling  = true;
  l->at       = frame;
  l->from     = felt;
  l->target   = felt;
  l->bend     = 0;
}

void
rl_felt_line_steer(RlFeltLine *const l, const int64_t frame, const double felt,
                   const double interval)
{
  const double here = rl_felt_line_pulse(l, frame).felt;
  const double off  = felt - here;
  const bool   leap = off > 0.5;
  const bool   wait = off < -0.5;
  l->interval       = interval;
  l->at             = frame;
  l->from           = leap ? felt : here;
  l->bend           = leap ? 0 : wait ? -off * interval : interval;
  l->target         = leap ? felt : wait ? here : felt + 1;
  l->slope          = wait ? 0 : (felt + 1 - here) / interval;
}

void
rl_felt_line_stop(RlFeltLine *const l, const int64_t frame)
{
  l->from    = rl_felt_line_pulse(l, frame).felt;
  l->rolling = false;
}
