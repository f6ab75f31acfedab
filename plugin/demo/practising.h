/* SPDX-License-Identifier: ISC */
/* Choruses that somebody has practised, made up: four days on the ferry landing. */
#ifndef RL_PLUGIN_DEMO_PRACTISING_H
#define RL_PLUGIN_DEMO_PRACTISING_H

#include "core/text/text.h"

/** Appends them as the property `practice` has them. */
void rl_practising_write(RlText *text);

#endif
