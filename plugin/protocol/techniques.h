/* SPDX-License-Identifier: ISC */
/* Techniques by number, as the port `heard_technique` and an object `Played` have them: 0 blow, 1
   to 3 bent so far, 4 draw, 5 to 7 bent so far, 8 overblow, 9 overdraw. */
#ifndef RL_PLUGIN_PROTOCOL_TECHNIQUES_H
#define RL_PLUGIN_PROTOCOL_TECHNIQUES_H

#include "core/harmony/harp.h"

int rl_technique_number(RlTechnique technique);

/** The technique of that number; RL_TECHNIQUES if none. */
RlTechnique rl_technique_numbered(int number);

#endif
