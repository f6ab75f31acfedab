/* SPDX-License-Identifier: ISC */
/* The plugin's control ports as the window sets them: settings, and the triggers of the player's
   clock and of recording. */
#ifndef RL_UI_CONTROLLER_SETTINGS_H
#define RL_UI_CONTROLLER_SETTINGS_H

#include "ui/controller/controller.h"
#include "ui/model/fields.h"

typedef struct {
  RlPort trigger;    /**< a trigger port that is at 1 now; RL_PORTS: none */
  double release_at; /**< when it goes back to 0; seconds */
} RlSettings;

/** Sets a port of the plugin and shows its new value at once. */
void rl_settings_set(RlController *controller, RlPort port, float value);

/** Sets a setting to the next (by = 1) or previous (-1) entry of its list; the last is followed by
    the first. */
void rl_settings_step(RlController *controller, RlField field, int by);

/** Sets the setting whose list is open to its n-th entry, and closes the list; that of the start
    bar stays open, since it goes by steps. */
void rl_settings_choose(RlController *controller, int n);

/** Presses a trigger port: 1 now, 0 again 80 ms later, so that every host runs a block with 1. */
void rl_settings_trigger(RlController *controller, RlPort port, double now);

/** A tap of the beat. Without a place from the host it switches to the player's clock. */
void rl_settings_tap(RlController *controller, double now);

/** Releases the trigger when its time has come. */
void rl_settings_advance(RlController *controller, double now);

#endif
