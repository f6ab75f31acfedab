/* SPDX-License-Identifier: ISC */
/* Made by tests/ear/follow/learn_trust.py. */
#include "ui/listen/trust.h"

/* clang-format off */
const double rl_trust_form[RL_TRUST_SIGNS + 1] = {1.3181, 0.7095, -1.0435, 1.7436, 0.8897, -5.7458};
const double rl_trust_place[2] = {0.1673, -0.3390};
