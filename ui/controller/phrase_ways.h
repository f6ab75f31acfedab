/* SPDX-License-Identifier: ISC */
/* The selected phrase made to fit: the ways to take it on its bar, and one of them taken. */
#ifndef RL_UI_CONTROLLER_PHRASE_WAYS_H
#define RL_UI_CONTROLLER_PHRASE_WAYS_H

#include "ui/controller/controller.h"

/** Finds the ways to take the phrase whose preview there is. */
void rl_phrase_ways_find(RlController *controller);

/** Takes one: sets the harp that it needs, and where it needs other notes, or another octave, makes
    a copy of the phrase with those. One step of undo. */
void rl_phrase_ways_take(RlController *controller, int way);

#endif
