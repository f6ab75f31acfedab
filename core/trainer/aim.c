/* SPDX-License-Identifier: ISC */
#include "core/trainer/aim.h"

#include <assert.h>

/* Half steps above the key's tonic, and the zone in cents above that pitch (README.md). */
static const struct {
  int   steps;
  bool  minor_too;
  float low, high;
} zones[] = {{3, false, 15, 65}, {6, true, 0, 45}};

bool
rl_blue_zone(const int midi, const RlKey key, float *const low, float *const high)
{
  const int steps = rl_pitch_class(midi - rl_spelling_class(key.tonic));
  for (size_t i = 0; i < sizeof(zones) / sizeof(zones[0]); ++i) {
    if (zones[i].steps == steps && (zones[i].minor_too || !key.minor)) {
      *low  = zones[i].low;
      *high = zones[i].high;
      return true;
    }
  }
  return false;
}

/* Cents of just reeds above equal temperament, by half steps above hole 1 blow: 1/1, 16/15, 9/8,
   6/5, 5/4, 21/16, 45/32, 3/2, 8/5, 5/3 blown and 27/16 drawn, 9/5, 15/8. */
static float
just(const int steps, const bool draws)
{
  static const float cents[] = {0,      11.73F, 3.91F,  15.64F,  -13.69F, -29.22F,
                                -9.78F, 1.96F,  13.69F, -15.64F, 17.60F,  -11.73F};
  return steps == 9 && draws ? 5.87F : cents[steps];
}

RlAim
rl_aim_at(const RlHarpChoice choice, const int hole, const RlTechnique technique,
          const RlTemper temper, const RlKey key)
{
  assert(hole >= 1 && hole <= RL_HOLES && technique >= 0 && technique < RL_TECHNIQUES);
  const RlHarp harp  = rl_harp_make(choice);
  const bool   plain = technique == RL_BLOW || technique == RL_DRAW;
  float        low   = 0;
  float        high  = 0;
  RlAim        aim   = {(uint8_t)hole, (uint8_t)technique, harp.note[hole - 1][technique], 0, 0, 0};
  aim.plain          = harp.note[hole - 1][rl_technique_draws(technique) ? RL_DRAW : RL_BLOW];
  if (aim.midi && plain && temper == RL_JUST) {
    aim.cents = just(rl_pitch_class(aim.midi - choice.key), technique == RL_DRAW);
  } else if (aim.midi && !plain && rl_blue_zone(aim.midi, key, &low, &high)) {
    aim.cents = (low + high) / 2;
    aim.room  = (high - low) / 2;
  }
  return aim;
}

bool
rl_aim_hears(const RlAim *const aim, const int hole, const RlTechnique technique, const int midi,
             const float cents, float *const off)
{
  const bool pitch = midi == aim->midi || midi == aim->plain;
  const bool breath =
    rl_technique_draws(technique) == rl_technique_draws((RlTechnique)aim->technique);
  const bool same = aim->midi && (pitch || (hole == aim->hole && breath));
  if (same) {
    *off = 100.0F * (float)(midi - aim->midi) + cents - aim->cents;
  }
  return same;
}
