/* SPDX-License-Identifier: ISC */
/* Made by tests/ear/follow/learn_bass.py. */
#include "core/ear/learned.h"

/* clang-format off */
const float rl_learned_bass[RL_STANDS][12] = {
  {0.129F, -0.037F, 0.022F, -0.041F, 0.019F, 0.007F, -0.036F, 0.053F, 0.011F, -0.038F, 0.009F, 0.019F},
  {-0.022F, -0.007F, 0.006F, -0.018F, 0.045F, -0.009F, -0.014F, 0.029F, -0.121F, -0.039F, -0.077F, -0.079F},
  {0.111F, -0.042F, -0.039F, -0.043F, -0.022F, -0.142F, 0.100F, 0.068F, 0.004F, -0.096F, 0.036F, -0.001F},
  {0.048F, -0.068F, -0.023F, 0.001F, 0.030F, -0.112F, -0.027F, 0.036F, -0.096F, -0.062F, -0.024F, -0.087F},
};
