/* SPDX-License-Identifier: ISC */
/* What can be changed of a phrase of the library: title, remark, feel, tags, notes; a copy of it
   made, the phrase deleted. Each change is one step of undo. What comes along with Reedlamp is
   never changed: a copy in the player's folder is. Nor is a tune whose music holds what would be
   lost. */
#ifndef RL_UI_CONTROLLER_PHRASE_EDITS_H
#define RL_UI_CONTROLLER_PHRASE_EDITS_H

#include "ui/controller/controller.h"

/** RL_ACTION_NOTE_...: selects or changes a note of the selected phrase, a take's or the library's.
    Nothing happens if none is selected. */
void rl_phrase_edits_note(RlController *controller, RlAction action);

/** RL_ACTION_PHRASE_OVER, _HARD, _COPY and _DELETE of a phrase of the library. Nothing happens if
    none is selected. */
void rl_phrase_edits_do(RlController *controller, RlAction action);

/** RL_ACTION_PHRASE_TITLE, _REMARK, _FEEL: begins to type it. */
void rl_phrase_edits_type(RlController *controller, RlAction action);

/** Gives the selected phrase the remark or the feel that was typed. False if that cannot be; the
    error is shown then. */
bool rl_phrase_edits_keep(RlController *controller);

/** Gives it another title, which can be one. False likewise. */
bool rl_phrase_edits_title(RlController *controller, const char *title);

/** Makes a phrase of the player's own of one that is no tune of a file: as the selected one, with
    other notes. Its title becomes one that no other has. False likewise. */
bool rl_phrase_edits_add(RlController *controller, RlPhrase *phrase);

#endif
