/* SPDX-License-Identifier: ISC */
/* The settings that can be changed in the window: one table of their labels, choices and ports.
   Pure. */
#ifndef RL_UI_MODEL_FIELDS_H
#define RL_UI_MODEL_FIELDS_H

#include "ui/model/view.h"

/** In the order in which they are shown. */
typedef enum {
  RL_FIELD_SONG_KEY,
  RL_FIELD_HARP_KEY,
  RL_FIELD_REGISTER,
  RL_FIELD_TUNING,
  RL_FIELD_POSITION, /**< sets the harp's key */
  RL_FIELD_START_BAR,
  RL_FIELD_COUNT_BY,
  RL_FIELD_CLOCK,
  RL_FIELD_DRAW_BENDS,
  RL_FIELD_BLOW_BENDS,
  RL_FIELD_OVERBLOWS,
  RL_FIELD_SHOW,
  RL_FIELD_HARP_FROM,
  RL_FIELD_OSC,
  RL_FIELD_SHOW_GROWS, /**< this and those below: on the screen for practice */
  RL_FIELD_KEEP_LAST,
  RL_FIELD_CAPTURE_FROM,
  RL_FIELDS
} RlField;

/** For example `song key`. */
const char *rl_field_label(RlField field);

/** The same as it is shown: where bar 1 was put, `bar 1 at` for the start bar; and over its list,
   all in one sentence. */
const char *rl_field_title(const RlView *view, RlField field);
void        rl_field_head(const RlView *view, RlField field, RlText *text);

/** Appends what it is set to, as it is shown. */
void rl_field_value(const RlView *view, RlField field, RlText *text);

/** How many entries its list has; appends the n-th (from 0); which one is chosen, -1: none. */
int  rl_field_choices(RlField field);
void rl_field_choice(const RlView *view, RlField field, int n, RlText *text);
int  rl_field_chosen(const RlView *view, RlField field);

/** The same with what is offered now and then behind the choices: where bar 1 was put, to `reset`
 * it.
 */
int  rl_field_entries(const RlView *view, RlField field);
void rl_field_entry(const RlView *view, RlField field, int n, RlText *text);

/** Its port, and the value that the port is set to when the n-th entry is chosen. */
RlPort rl_field_port(RlField field);
float  rl_field_to(const RlView *view, RlField field, int n);

/** Can it be typed? Appends the text to begin with. */
bool rl_field_typed(RlField field);
void rl_field_typing(const RlView *view, RlField field, RlText *text);

/** `2nd` for 2: 1 to 12. */
const char *rl_position_name(int position);

#endif
