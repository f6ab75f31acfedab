/* SPDX-License-Identifier: ISC */
/* Takes: phrases recorded from MIDI that are not in the library yet. They are listed before the
   library; the one selected can be corrected, kept or discarded. The plugin owns their text: it
   is told what to do to which take, and what comes of that is shown once it is heard. Window
   thread. */
#ifndef RL_UI_CONTROLLER_TAKES_H
#define RL_UI_CONTROLLER_TAKES_H

#include "ui/controller/controller.h"

/** Corrects, keeps or discards the selected take: RL_ACTION_NOTE_SELECT, RL_ACTION_NOTE_SHIFT,
   RL_ACTION_NOTE_REMOVE, RL_ACTION_TAKE_KEEP, RL_ACTION_TAKE_DISCARD. Nothing happens if no take is
   selected. */
void rl_takes_act(RlController *controller, RlAction action);

/** Makes a take of the selected part of a MIDI file, as if it had been played. */
void rl_takes_add_midi(RlController *controller);

/** Selects the newest take, on the bar where it was played. There is at least one. */
void rl_takes_look_at_newest(RlController *controller);

/** After takes arrived that are more than the `before` there were: on the screen of phrases the
    newest is selected; elsewhere the selection stays on the phrase it was on. */
void rl_takes_come(RlController *controller, int before);

/** After takes arrived that are fewer than the `before` there were: the selection stays on the
    phrase it was on, or goes to the last take that is left. */
void rl_takes_go(RlController *controller, int before);

#endif
