/* SPDX-License-Identifier: ISC */
/* Phrases listened to through the plugin (urn:reedlamp:hear_take): the selected one, what a take
   was lifted from, each way of making it fit. The plugin plays while the music stands. Window
   thread. */
#ifndef RL_UI_CONTROLLER_AUDITIONING_H
#define RL_UI_CONTROLLER_AUDITIONING_H

#include "ui/controller/controller.h"

/** RL_ACTION_HEAR: a take as it is written, a phrase of the library as it goes on its bar; where
    something sounds already it stops. RL_ACTION_HEAR_RECORD, _BOTH: what the take was lifted from,
    alone or after the take. RL_ACTION_HEAR_STOP. Elsewhere than on the screen of phrases, and
    without a phrase, nothing happens. */
void rl_auditioning_do(RlController *controller, RlAction action);

/** The next speed: 1, 3/4, 1/2. */
void rl_auditioning_speed(RlController *controller);

/** The selected phrase taken that way; its index in RlViewPhrases.way. */
void rl_auditioning_way(RlController *controller, int way);

#endif
