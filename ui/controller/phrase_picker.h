/* SPDX-License-Identifier: ISC */
/* The screen of phrases: one phrase of the takes or the library is selected and shown as tab on a
   bar, moved with the chord or the key, before it is put into the plan. */
#ifndef RL_UI_CONTROLLER_PHRASE_PICKER_H
#define RL_UI_CONTROLLER_PHRASE_PICKER_H

#include "ui/controller/controller.h"
#include "ui/layout/layout.h"

enum { RL_LEFT_OUT_SIZE = 512 };

typedef struct {
  RlLibrary   library;
  char        folder[RL_PATH_SIZE], book[RL_PATH_SIZE]; /**< where it lies; empty: nowhere */
  RlPlan      plan;                        /**< the selected phrase on its bar, alone */
  RlLane      lane;                        /**< that plan on the harp that is set */
  char        title[RL_PHRASE_TITLE_SIZE]; /**< of the selected phrase, as its tune says it */
  char        left_out[RL_LEFT_OUT_SIZE];  /**< of its tune, in words */
  char        home[RL_NAME_SIZE];          /**< the key that it is written in */
  RlViewOnset onset[RL_PHRASE_NOTES_MAX];  /**< its notes */
  int note; /**< the onset being corrected; it may come only with what the plugin sends back */
} RlPhrasePicker;

/** Begins to read the library anew and selects a phrase: the newest take, else the phrase selected
   before, else the first. Its bar is the one that plays now. */
void rl_picker_open(RlController *controller);

/** Selects the phrase that was selected before, else the first, if there is one. */
void rl_picker_select_first(RlController *controller);

/** Makes the preview of the selected phrase: plan, lane, and the harps that play it most easily. A
    part of a MIDI file becomes a take instead. */
void rl_picker_update(RlController *controller);

/** Finds what is left out of the phrases in sight. */
void rl_picker_look(RlController *controller, const RlLayout *layout);

/** RL_ACTION_PHRASE_SELECT: selects another phrase; RL_ACTION_PHRASE_BAR: puts it `value` bars on,
    from the last bar (the ending's included) to the first; RL_ACTION_PHRASE_MOVE: the next way to
    move it. */
void rl_picker_change(RlController *controller, RlAction action);

/** Sends the plan with the selected phrase on its bar. */
void rl_picker_put(RlController *controller);

/** Sends the plan without any phrase on that bar. */
void rl_picker_clear_bar(RlController *controller);

/** Shows other buttons below the selected phrase, an RlPhrasePanel; again, the first ones. */
void rl_picker_panel(RlController *controller, int panel);

#endif
