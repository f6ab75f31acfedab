/* SPDX-License-Identifier: ISC */
/* Takes: phrases recorded from MIDI that are not in the library yet. They are listed before the
   library; the selected one can be corrected, kept or discarded. The plugin owns them: an edit is
   sent to it, and shown once the plugin has sent the takes back. Window thread. */
#ifndef RL_UI_CONTROLLER_TAKES_H
#define RL_UI_CONTROLLER_TAKES_H

#include "ui/controller/controller.h"

/** Keeps or discards the selected take, by a RL_ACTION_TAKE_...; nothing happens if no take is
    selected. */
void rl_takes_change(RlController *controller, RlAction action);

/** Reads the selected take as it will be once what was sent before has arrived. False if it is gone
    by then; that is said. */
bool rl_takes_read(RlController *controller, RlPhrase *phrase);

/** Sends the selected take with other notes; what cannot be is said. */
void rl_takes_write(RlController *controller, const RlPhrase *phrase);

/** Makes a take of the selected part of a MIDI file, as if it had been played. */
void rl_takes_add_midi(RlController *controller);

/** Adds a phrase with its title, played on that bar, unless there is one of that title. */
void rl_takes_add_phrase(RlController *controller, const RlPhrase *phrase, int bar);

/** Selects the newest take, on the bar where it was played. There is at least one. */
void rl_takes_select_newest(RlController *controller);

/** There are more takes than the `before` there were. On the screen of phrases the newest is
   selected; elsewhere the selection stays on its phrase. */
void rl_takes_added(RlController *controller, int before);

/** There may be fewer takes than the `before` there were. The selection stays on its phrase, or
   goes to the last take that is left. */
void rl_takes_removed(RlController *controller, int before);

#endif
