/* SPDX-License-Identifier: ISC */
/* Made by tests/ear/follow/learn_trust.py. */
#include "ui/listen/trust.h"

/* clang-format off */
const double rl_trust_form[RL_TRUST_SIGNS + 1] = {1.3491, 0.6157, -0.6916, 2.1184, 0.3833, -7.1776};
const double rl_trust_place[2] = {0.1673, -0.3390};
