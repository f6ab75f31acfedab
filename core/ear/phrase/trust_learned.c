/* SPDX-License-Identifier: ISC */
/* From a first training of this design; tests/ear/lift/README.md says on what. */
#include "core/ear/phrase/trust.h"

/* clang-format off */
const float rl_lift_trust_learned[RL_LIFT_ASKED] = {-0.3657F, -0.3236F, 0.4158F, 0.5976F, -0.4709F, 0.1011F, -0.07813F, -1.978F, 1.467F, -0.4156F, -0.6298F, 0.4782F, -0.06801F, 0.1469F, -0.04958F, -4.079F, 0.6814F, -1.341F, -0.6771F, -0.05348F};
const float rl_lift_trust_drawn = 1.0F;
/* clang-format on */
