/* SPDX-License-Identifier: ISC */
#include "ui/controller/takes.h"

#include "ui/controller/controller_state.h"

#include "core/phrase/edit.h"

#include <stdlib.h>

/* The plugin is told how many are known here, so that one that is just coming stays. */
static void
takes_send(RlController *const b)
{
  RlPlanError error;
  if (!b->takes.taken_line &&
      rl_plan_read(rl_slice(b->text), &b->lane_room.phrase, &b->plan_trial, &error)) {
    RlText text = rl_text_in(b->text, sizeof(b->text));
    rl_text_add(&text, rl_plan_count(&b->plan_trial, 0, &text) ? "" : b->plan_trial.text);
  }
  b->plugin.set_text(b->plugin.data, RL_TAKE, b->text);
}

void
rl_takes_add_midi(RlController *const b)
{
  const RlView *const v     = &b->view;
  const int           index = v->phrases.selected - b->takes.phrase_count;
  RlPhrase *const     p     = &b->lane_room.phrase;
  char *const         tune  = (char *)malloc(RL_ABC_MAX);
  RlText              words = rl_text_in(b->edit_error, sizeof(b->edit_error));
  RlPlanned           at    = {.move = RL_MOVE_CHORD};
  int                 bar   = 1;
  if (rl_plan_find(&b->takes, b->library.phrase[index].title) >= 0) {
    rl_text_add(&words, "it is among the takes already");
  } else if (tune &&
             rl_library_midi(&b->library, index, v->form, rl_view_key(v), p, &bar, &words)) {
    RlText text           = rl_text_in(tune, RL_ABC_MAX);
    RlText out            = rl_text_in(b->text, sizeof(b->text));
    at.bar                = (uint16_t)bar;
    const char *const why = rl_plan_add(&b->takes, &at, p->title, rl_abc_tune(p, &text), &out);
    rl_text_add(&words, why ? why : "");
    if (!why) {
      takes_send(b);
    }
  }
  free(tune);
}

/* The bar on which a take was played. */
static int
take_bar(const RlPlan *const takes, const int index)
{
  int at = 0;
  while (at < takes->planned_count && takes->planned[at].phrase != index) {
    ++at;
  }
  return at < takes->planned_count ? takes->planned[at].bar : 1;
}

void
rl_takes_look_at_newest(RlController *const b)
{
  RlView *const v        = &b->view;
  v->phrases.selected    = b->takes.phrase_count - 1;
  v->phrases.note        = 0;
  v->phrases.planned.bar = (uint16_t)take_bar(&b->takes, v->phrases.selected);
  v->scroll              = 0;
}

void
rl_takes_come(RlController *const b, const int before)
{
  RlView *const v = &b->view;
  if (v->screen == RL_SCREEN_PHRASES) {
    rl_takes_look_at_newest(b);
  } else if (v->phrases.selected >= before) {
    v->phrases.selected +=
      b->takes.phrase_count - before; /* still the same phrase of the library */
  }
}

void
rl_takes_go(RlController *const b, const int before)
{
  RlView *const v    = &b->view;
  const int     gone = before - b->takes.phrase_count;
  if (gone > 0 && v->phrases.selected >= before) {
    v->phrases.selected -= gone; /* still the same phrase of the library */
  } else if (gone > 0 && v->phrases.selected >= b->takes.phrase_count) {
    v->phrases.selected =
      b->takes.phrase_count - 1; /* the last take, or none: no other phrase in its place */
  }
  v->phrases.selected = v->phrases.selected < rl_view_phrases(v) ? v->phrases.selected : -1;
}

static void
take_drop(RlController *const b)
{
  RlText out = rl_text_in(b->text, sizeof(b->text));
  rl_plan_drop(&b->takes, b->view.phrases.selected, &out);
  takes_send(b);
}

/* The takes with this one as it is now. */
static void
take_write(RlController *const b, const RlPhrase *const phrase)
{
  char *const tune = (char *)malloc(RL_ABC_MAX);
  RlText      out  = rl_text_in(b->text, sizeof(b->text));
  if (tune) {
    RlText            text = rl_text_in(tune, RL_ABC_MAX);
    const char *const why =
      rl_plan_change(&b->takes, b->view.phrases.selected, rl_abc_tune(phrase, &text), &out);
    rl_controller_error(b, why ? why : "");
    if (!why) {
      takes_send(b);
    }
  }
  free(tune);
}

static void
take_hold(RlController *const b, RlPhrase *const phrase)
{
  if (rl_library_keep(&b->library, b->phrases[0] ? b->phrases : NULL, phrase)) {
    take_drop(b);
    rl_library_read(&b->library, b->phrases, b->book[0] ? b->book : NULL);
    rl_controller_find_again(b);
  } else {
    rl_controller_error(b, b->library.problem);
  }
}

void
rl_takes_act(RlController *const b, const RlAction action)
{
  RlView *const   v      = &b->view;
  RlPhrase *const phrase = &b->lane_room.phrase;
  if (!rl_view_is_take(v, v->phrases.selected)) {
    return;
  }
  rl_controller_error(b, "");
  rl_plan_phrase(&b->takes, v->phrases.selected, phrase);
  const int onsets = rl_phrase_onsets(phrase);
  const int note   = v->phrases.note < onsets ? v->phrases.note : onsets - 1;
  switch (action.kind) {
  case RL_ACTION_NOTE_SELECT:
    v->phrases.note = (note + action.value + onsets) % onsets;
    rl_controller_pick(b);
    break;
  case RL_ACTION_NOTE_SHIFT:
    if (rl_phrase_onset_shift(phrase, note, action.value)) {
      take_write(b, phrase);
    } else {
      rl_controller_error(b, "there is no place for it there; move the notes beside it first");
    }
    break;
  case RL_ACTION_NOTE_REMOVE:
    if (rl_phrase_onset_remove(phrase, note)) {
      v->phrases.note = note ? note - 1 : 0;
      take_write(b, phrase);
    } else {
      rl_controller_error(b, "the only note stays; discard the take");
    }
    break;
  case RL_ACTION_TAKE_KEEP:
    take_hold(b, phrase);
    break;
  default:
    take_drop(b);
    break;
  }
}
