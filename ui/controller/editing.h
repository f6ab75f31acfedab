/* SPDX-License-Identifier: ISC */
/* Typing: a bar of the chart, the whole chart or plan as text, a setting, words to search for. What
   is being typed becomes effective only when it is kept; then it is checked and sent to the plugin,
   and shown as the chart (plan, address) once the plugin has sent it back. */
#ifndef RL_UI_CONTROLLER_EDITING_H
#define RL_UI_CONTROLLER_EDITING_H

#include "ui/controller/controller.h"

typedef struct {
  RlTextInput input;
  RlTextInput before; /**< as it was when typing began; once that is taken back, what was typed */
  bool        taken_back;
  char        error[RL_REASON_MAX]; /**< why it could not be kept; empty: nothing is wrong */
} RlEditing;

/** Begins to edit a bar; `index` in the form. Nothing happens where there is no such bar. */
void rl_editing_open_bar(RlController *controller, int index);

/** Begins to edit the whole chart, or the whole plan, as text. */
void rl_editing_open_chart(RlController *controller);
void rl_editing_open_plan(RlController *controller);

/** Opens the list of a setting (an RlField); where it can be typed too, begins that. */
void rl_editing_open_list(RlController *controller, int field);

/** Begins to type the words that the titles of phrases are searched for. */
void rl_editing_open_search(RlController *controller);

/** Begins to type something of one line, with these words in it. */
void rl_editing_open_words(RlController *controller, RlEdit edit, const char *words);

/** Sends what was typed: RL_ACTION_EDIT_KEEP in place of what was there, RL_ACTION_BAR_INSERT as a
    bar of its own after it; RL_ACTION_BAR_DELETE deletes the bar. False if it is not valid; the
    error is shown then. */
bool rl_editing_keep(RlController *controller, RlActionKind kind);

/** Takes back what was typed since typing began; or, with `again`, brings it back. */
void rl_editing_take_back(RlController *controller, bool again);

/** What Escape does while something is typed: rl_editing_end(); but where a whole text was changed
    it asks first, and the next one ends. False if it asked. */
bool rl_editing_escape(RlController *controller);

/** Ends typing and closes the open list; what was typed is lost unless it was kept before. */
void rl_editing_end(RlController *controller);

/** Shows an error below what is typed; "" removes it. */
void rl_editing_error(RlController *controller, const char *words);

/** Is a whole text (chart or plan) being edited? */
bool rl_editing_is_text(const RlView *view);

#endif
