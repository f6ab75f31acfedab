/* SPDX-License-Identifier: ISC */
#include "ui/controller/takes.h"

#include "ui/controller/controller_state.h"

#include "core/phrase/edit.h"

#include <stdlib.h>

/* The plugin is told how many are known here, so that one that is just coming stays. */
static void
takes_send(RlController *const c)
{
  RlPlanError error;
  if (!c->takes.taken_line &&
      rl_plan_read(rl_slice(c->scratch.text), &c->scratch.lane.phrase, &c->scratch.plan, &error)) {
    RlText text = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
    rl_text_add(&text, rl_plan_count(&c->scratch.plan, 0, &text) ? "" : c->scratch.plan.text);
  }
  c->plugin.set_text(c->plugin.data, RL_TAKE, c->scratch.text);
}

void
rl_takes_add_midi(RlController *const c)
{
  const RlView *const v     = &c->view;
  const int           index = v->phrases.selected - c->takes.phrase_count;
  RlPhrase *const     p     = &c->scratch.lane.phrase;
  char *const         tune  = (char *)malloc(RL_ABC_MAX);
  RlText              words = rl_text_in(c->editing.error, sizeof(c->editing.error));
  RlPlanned           at    = {.move = RL_MOVE_CHORD};
  int                 bar   = 1;
  if (rl_plan_find(&c->takes, c->picker.library.phrase[index].title) >= 0) {
    rl_text_add(&words, "it is among the takes already");
  } else if (tune &&
             rl_library_midi(&c->picker.library, index, v->form, rl_view_key(v), p, &bar, &words)) {
    RlText text           = rl_text_in(tune, RL_ABC_MAX);
    RlText out            = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
    at.bar                = (uint16_t)bar;
    const char *const why = rl_plan_add(&c->takes, &at, p->title, rl_abc_tune(p, &text), &out);
    rl_text_add(&words, why ? why : "");
    if (!why) {
      takes_send(c);
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
rl_takes_look_at_newest(RlController *const c)
{
  RlView *const v        = &c->view;
  v->phrases.selected    = c->takes.phrase_count - 1;
  v->phrases.note        = 0;
  v->phrases.planned.bar = (uint16_t)take_bar(&c->takes, v->phrases.selected);
  v->scroll              = 0;
}

void
rl_takes_come(RlController *const c, const int before)
{
  RlView *const v = &c->view;
  if (v->screen == RL_SCREEN_PHRASES) {
    rl_takes_look_at_newest(c);
  } else if (v->phrases.selected >= before) {
    v->phrases.selected +=
      c->takes.phrase_count - before; /* still the same phrase of the library */
  }
}

void
rl_takes_go(RlController *const c, const int before)
{
  RlView *const v    = &c->view;
  const int     gone = before - c->takes.phrase_count;
  if (gone > 0 && v->phrases.selected >= before) {
    v->phrases.selected -= gone; /* still the same phrase of the library */
  } else if (gone > 0 && v->phrases.selected >= c->takes.phrase_count) {
    v->phrases.selected =
      c->takes.phrase_count - 1; /* the last take, or none: no other phrase in its place */
  }
  v->phrases.selected = v->phrases.selected < rl_view_phrases(v) ? v->phrases.selected : -1;
}

static void
take_drop(RlController *const c)
{
  RlText out = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  rl_plan_drop(&c->takes, c->view.phrases.selected, &out);
  takes_send(c);
}

/* The takes with this one as it is now. */
static void
take_write(RlController *const c, const RlPhrase *const phrase)
{
  char *const tune = (char *)malloc(RL_ABC_MAX);
  RlText      out  = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  if (tune) {
    RlText            text = rl_text_in(tune, RL_ABC_MAX);
    const char *const why =
      rl_plan_change(&c->takes, c->view.phrases.selected, rl_abc_tune(phrase, &text), &out);
    rl_editing_error(c, why ? why : "");
    if (!why) {
      takes_send(c);
    }
  }
  free(tune);
}

static void
take_hold(RlController *const c, RlPhrase *const phrase)
{
  if (rl_library_keep(&c->picker.library, c->picker.folder[0] ? c->picker.folder : NULL, phrase)) {
    take_drop(c);
    rl_library_read(&c->picker.library, c->picker.folder,
                    c->picker.book[0] ? c->picker.book : NULL);
    rl_search_update(c);
  } else {
    rl_editing_error(c, c->picker.library.problem);
  }
}

void
rl_takes_act(RlController *const c, const RlAction action)
{
  RlView *const   v      = &c->view;
  RlPhrase *const phrase = &c->scratch.lane.phrase;
  if (!rl_view_is_take(v, v->phrases.selected)) {
    return;
  }
  rl_editing_error(c, "");
  rl_plan_phrase(&c->takes, v->phrases.selected, phrase);
  const int onsets = rl_phrase_onsets(phrase);
  const int note   = v->phrases.note < onsets ? v->phrases.note : onsets - 1;
  switch (action.kind) {
  case RL_ACTION_NOTE_SELECT:
    v->phrases.note = (note + action.value + onsets) % onsets;
    rl_picker_update(c);
    break;
  case RL_ACTION_NOTE_SHIFT:
    if (rl_phrase_onset_shift(phrase, note, action.value)) {
      take_write(c, phrase);
    } else {
      rl_editing_error(c, "there is no place for it there; move the notes beside it first");
    }
    break;
  case RL_ACTION_NOTE_REMOVE:
    if (rl_phrase_onset_remove(phrase, note)) {
      v->phrases.note = note ? note - 1 : 0;
      take_write(c, phrase);
    } else {
      rl_editing_error(c, "the only note stays; discard the take");
    }
    break;
  case RL_ACTION_TAKE_KEEP:
    take_hold(c, phrase);
    break;
  default:
    take_drop(c);
    break;
  }
}
