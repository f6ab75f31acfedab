/* SPDX-License-Identifier: ISC */
#include "core/meter/meter.h"

bool
rl_meter_in_threes(const int beats)
{
  return beats > 3 && beats % 3 == 0;
}

bool
rl_meter_compound(const int beats, const int unit)
{
  return unit >= 8 && rl_meter_in_threes(beats);
}

double
rl_meter_felt(const int beats, const int unit)
{
  return rl_meter_compound(beats, unit) ? beats / 3 : beats;
}
