/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/techniques.h"

static const RlTechnique in_order[RL_TECHNIQUES] = {RL_BLOW,     RL_BLOW_1,  RL_BLOW_2, RL_BLOW_3,
                                                    RL_DRAW,     RL_DRAW_1,  RL_DRAW_2, RL_DRAW_3,
                                                    RL_OVERBLOW, RL_OVERDRAW};

int
rl_technique_number(const RlTechnique technique)
{
  int number = 0;
  while (number < RL_TECHNIQUES - 1 && in_order[number] != technique) {
    ++number;
  }
  return number;
}

RlTechnique
rl_technique_numbered(const int number)
{
  return number >= 0 && number < RL_TECHNIQUES ? in_order[number] : RL_TECHNIQUES;
}
