/* SPDX-License-Identifier: ISC */
/* The selected phrase made to fit: the ways to take it on its bar, and one of them taken. */
#ifndef RL_UI_CONTROLLER_PHRASE_WAYS_H
#define RL_UI_CONTROLLER_PHRASE_WAYS_H

#include "ui/controller/controller.h"

/** Finds the ways to take the phrase whose preview there is. */
void rl_phrase_ways_find(RlController *controller);

/** Makes `phrase` of the selected one as it sounds when it is taken that way, or (-1) as it is
   moved to its bar. False if there is no such way, or no bar. */
bool rl_phrase_ways_phrase(RlController *controller, int way, RlPhrase *phrase);

/** Takes one: sets the harp that it needs, and where it needs other notes, or another octave, makes
    a copy of the phrase with those. One step of undo. */
void rl_phrase_ways_take(RlController *controller, int way);

#endif
