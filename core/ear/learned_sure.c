/* SPDX-License-Identifier: ISC */
/* Made by tests/ear/follow/learn_sure.py. */
#include "core/ear/sure.h"

/* clang-format off */
static const RlSurePiece pieces[] = {
  {RL_FIGURE_MASS, -2.0F, 2.0F, 1.120F},
  {RL_FIGURE_MASS, 2.0F, 5.2F, 1.034F},
  {RL_FIGURE_TRUST, -3.0F, 0.0F, 0.344F},
  {RL_FIGURE_TRUST, 0.0F, 3.5F, 0.631F},
  {RL_FIGURE_HELD, 1.4F, 2.3F, 0.277F},
  {RL_FIGURE_HELD, 2.3F, 4.1F, 0.228F},
  {RL_FIGURE_BARS, -20.0F, 0.0F, 1.634F},
  {RL_FIGURE_BARS, 0.0F, 12.0F, 1.478F},
  {RL_FIGURE_BARS, 12.0F, 30.0F, -0.261F},
  {RL_FIGURE_ANY, -20.0F, 0.0F, 1.433F},
  {RL_FIGURE_ANY, 0.0F, 30.0F, 1.919F},
  {RL_FIGURE_ANY, 30.0F, 60.0F, 0.105F},
  {RL_FIGURE_HALF, -5.0F, 5.0F, -0.577F},
  {RL_FIGURE_HALF, 5.0F, 20.0F, 0.330F},
  {RL_FIGURE_HALF, 20.0F, 60.0F, -0.078F},
  {RL_FIGURE_WHOLE, -10.0F, 0.0F, -0.918F},
  {RL_FIGURE_WHOLE, 0.0F, 10.0F, 0.225F},
  {RL_FIGURE_WHOLE, 10.0F, 30.0F, 0.152F},
  {RL_FIGURE_CHORDS, -10.0F, 0.0F, -0.514F},
  {RL_FIGURE_CHORDS, 0.0F, 8.0F, 0.991F},
  {RL_FIGURE_CHORDS, 8.0F, 30.0F, -0.248F},
  {RL_FIGURE_ONSETS, -10.0F, 20.0F, -0.689F},
  {RL_FIGURE_ONSETS, 20.0F, 50.0F, 0.169F},
  {RL_FIGURE_ONSETS, 50.0F, 90.0F, -0.150F},
  {RL_FIGURE_LEAN, 0.0F, 1.0F, -0.547F},
};

const RlSureLearned rl_learned_sure = {-2.946F, sizeof(pieces) / sizeof(*pieces), pieces};
