/* SPDX-License-Identifier: ISC */
#include "ui/controller/phrase_picker.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/phrase_ways.h"
#include "ui/controller/takes.h"

#include "core/phrase/edit.h"

#include <string.h>

/* The harps that play the selected phrase most easily on its bar. */
static void
best_find(RlController *const c)
{
  RlViewPhrases *const   shown = &c->view.phrases;
  RlLaneWorkspace *const work  = &c->scratch.lane;
  RlHarpChoice           harps[RL_OWNED_MAX];
  RlTabRank              ranked[RL_OWNED_MAX];
  shown->best_count = 0;
  if (!c->picker.lane.notes ||
      !rl_lane_move(&c->picker.plan, 0, c->view.form, rl_view_key(&c->view), work)) {
    return;
  }
  const int n = rl_harps_candidates(c, harps);
  rl_tab_rank(work->note, work->phrase.notes, work->over, harps, n, rl_view_player(&c->view),
              &work->tab_workspace, work->tab, ranked);
  for (; shown->best_count < n && shown->best_count < RL_BEST_HARPS; ++shown->best_count) {
    shown->best[shown->best_count] = ranked[shown->best_count].choice;
  }
}

/* Its notes as they are written, and where they lie. `scratch.lane.phrase` holds the phrase. */
static void
notes_find(RlController *const c)
{
  RlViewPhrases *const  shown  = &c->view.phrases;
  const RlPhrase *const phrase = &c->scratch.lane.phrase;
  const double *const   starts = c->view.form->starts[RL_AXIS_QUARTERS];
  shown->onsets                = rl_phrase_onsets(phrase);
  shown->note   = c->picker.note < shown->onsets ? c->picker.note : shown->onsets - 1;
  shown->starts = starts[shown->planned.bar - 1] * RL_TICKS;
  for (int i = 0; i < shown->onsets; ++i) {
    const int                 first = rl_phrase_onset_first(phrase, i);
    const RlPhraseNote *const n     = &phrase->note[first];
    const int last = i + 1 < shown->onsets ? rl_phrase_onset_first(phrase, i + 1) : phrase->notes;
    c->picker.onset[i] =
      (RlViewOnset){.at      = n->at,
                    .lasts   = n->lasts,
                    .low     = (int16_t)rl_phrase_pitch(phrase, n),
                    .high    = (int16_t)rl_phrase_pitch(phrase, &phrase->note[last - 1]),
                    .perhaps = rl_phrase_onset_perhaps(phrase, i)};
  }
}

/* A plan of this tune alone, on its bar, in every chorus: it is shown as it sounds in those it is
   meant for. */
static void
plan_make(RlController *const c, const RlSlice tune)
{
  RlPlanned       planned = c->view.phrases.planned;
  RlText          text    = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  RlPlanError     error;
  RlPhrase *const phrase = &c->scratch.lane.phrase;
  planned.choruses       = 0;
  rl_plan_line(&planned, c->picker.title, &text);
  rl_text_add(&text, "\n\n");
  rl_text_add_slice(&text, tune);
  if (rl_plan_read(rl_slice(c->scratch.text), phrase, &c->picker.plan, &error)) {
    rl_lane_make(&c->picker.plan, c->view.form, rl_view_key(&c->view), rl_view_harp(&c->view),
                 rl_view_player(&c->view), &c->scratch.lane, &c->picker.lane);
  }
}

static void
preview_clear(RlController *const c)
{
  RlPhrasePicker *const p = &c->picker;
  p->lane.notes           = 0;
  p->lane.replaced        = 0;
  p->plan.planned_count   = 0;
  p->plan.phrase_count    = 0;

  c->view.phrases.onsets     = 0;
  c->view.phrases.picture    = NULL;
  c->view.phrases.followed   = 0;
  c->view.phrases.home       = NULL;
  c->view.phrases.left_out   = NULL;
  c->view.phrases.best_count = 0;
  c->view.phrases.way_count  = 0;
}

/* What a take says of itself is true in any key. */
static void
home_find(RlController *const c)
{
  RlText text = rl_text_in(c->picker.home, sizeof(c->picker.home));
  if (!rl_view_is_take(&c->view, c->view.phrases.selected)) {
    rl_key_write(c->scratch.lane.phrase.key, &text);
    c->view.phrases.home = c->picker.home;
  }
}

void
rl_picker_update(RlController *const c)
{
  RlView *const v        = &c->view;
  const int     selected = v->phrases.selected;
  RlAbcError    wrong;
  RlAbcLeftOut  left;
  preview_clear(c);
  if (selected < 0 || selected >= rl_view_phrases(v) || !v->form) {
    return;
  }
  if (rl_view_phrase_is_midi(v, selected)) {
    rl_takes_add_midi(c);
    return;
  }
  rl_clips_forget(c);
  const RlSlice tune = rl_view_phrase_tune(v, selected);
  v->phrases.tags    = rl_abc_tags(tune);
  if (!rl_abc_read_counting(tune, &c->scratch.lane.phrase, &left, &wrong)) {
    RlText words = rl_text_in(c->editing.error, sizeof(c->editing.error));
    rl_abc_error_write(&wrong, &words);
    return;
  }
  RlText words = rl_text_in(c->picker.left_out, sizeof(c->picker.left_out));
  rl_abc_left_write(&left, &words);
  v->phrases.left_out = words.used ? c->picker.left_out : NULL;
  home_find(c);
  notes_find(c);
  rl_take_picture_update(c);
  memcpy(c->picker.title, c->scratch.lane.phrase.title, sizeof(c->picker.title));
  plan_make(c, tune);
  for (int i = 0; i < c->picker.lane.notes; ++i) {
    v->phrases.followed += c->picker.lane.note[i].followed;
  }
  best_find(c);
  if (v->phrases.panel == RL_PHRASE_PANEL_WAYS) {
    rl_phrase_ways_find(c);
  }
}

void
rl_picker_look(RlController *const c, const RlLayout *const l)
{
  const int takes = rl_view_phrases(&c->view) - c->picker.library.count;
  for (int i = 0; i < l->spots; ++i) {
    const RlAction action = l->spot[i].action;
    if (action.kind == RL_ACTION_PHRASE_SELECT && action.value >= takes) {
      rl_library_look(&c->picker.library, action.value - takes, &c->scratch.lane.phrase);
    }
  }
}

void
rl_picker_change(RlController *const c, const RlAction action)
{
  RlView *const v = &c->view;
  const int     n = v->form ? v->form->bars + v->form->ending_bars : 1;
  if (action.kind == RL_ACTION_PHRASE_SELECT) {
    v->phrases.selected = action.value;
    c->picker.note      = 0;
  } else if (action.kind == RL_ACTION_PHRASE_BAR) {
    v->phrases.planned.bar = (uint16_t)((v->phrases.planned.bar - 1 + action.value + n) % n + 1);
  } else {
    v->phrases.planned.move = (uint8_t)((v->phrases.planned.move + 1) % RL_MOVES);
  }
  rl_editing_error(c, "");
  if (action.kind != RL_ACTION_PHRASE_SELECT) {
    rl_search_fit_again(c);
  }
  rl_picker_update(c);
}

/* From 1: the bar that plays now, so that a phrase can be put where it was just heard. */
static int
bar_now(const RlView *const v)
{
  const int index = rl_view_index(v);
  return index >= 0 ? index + 1 : 1;
}

/* The phrase that was selected before, else the first; but no part of a MIDI file, which would
   become a take without being asked for. */
static int
first_selected(const RlView *const v)
{
  const int count    = rl_view_phrases(v);
  int       selected = v->phrases.selected;
  selected           = selected >= 0 && selected < count ? selected : 0;
  while (rl_view_phrase_is_midi(v, selected)) {
    ++selected;
  }
  return selected < count ? selected : -1;
}

void
rl_picker_select_first(RlController *const c)
{
  c->view.phrases.selected = first_selected(&c->view);
}

void
rl_picker_open(RlController *const c)
{
  RlView *const v = &c->view;
  rl_phrase_files_read(c);
  rl_search_set(c, "");
  v->phrases.panel = RL_PHRASE_PANEL_PUT;
  rl_picker_select_first(c);
  v->phrases.planned.bar = (uint16_t)bar_now(v);
  rl_search_fit_again(c);
  if (c->takes.phrase_count) {
    rl_takes_select_newest(c);
  }
  rl_picker_update(c);
}

static void
plan_send(RlController *const c)
{
  rl_undo_send_text(c, RL_PLAN, c->scratch.text);
}

/* The plan, with the selected phrase as it is now: one of the same title in the plan may have been
   changed since. NULL if that would be too long, and `why` says so. */
static const RlPlan *
plan_with_tune(RlController *const c, const RlSlice tune, const char **const why)
{
  const int     known = rl_plan_find(&c->plan, c->picker.title);
  const RlSlice was   = rl_slice_trim(known < 0 ? tune : rl_plan_tune(&c->plan, known));
  const RlSlice is    = rl_slice_trim(tune);
  RlText        out   = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  RlPlanError   error;
  *why = NULL;
  if (was.length == is.length && !memcmp(was.at, is.at, is.length)) {
    return &c->plan;
  }
  *why = rl_plan_change(&c->plan, known, tune, &out);
  return !*why && rl_plan_read(rl_slice(c->scratch.text), &c->scratch.lane.phrase, &c->scratch.plan,
                               &error)
           ? &c->scratch.plan
           : NULL;
}

/* Says so where another phrase gives way. */
static void
replaced_tell(RlController *const c)
{
  const RlPlanned *const at   = &c->view.phrases.planned;
  RlText                 text = rl_text_in(c->notice, sizeof(c->notice));
  for (int i = 0; i < c->plan.planned_count; ++i) {
    const RlPlanned *const there = &c->plan.planned[i];
    const char *const      title = c->plan.phrase[there->phrase].title;
    if (there->bar == at->bar && there->beat == at->beat && there->choruses == at->choruses &&
        strcmp(title, c->picker.title) != 0) {
      rl_text_add(&text, text.used ? " and " : "");
      rl_text_add(&text, title);
    }
  }
  if (text.used) {
    rl_text_add(&text, " stood on bar ");
    rl_text_add_int(&text, at->bar);
    rl_text_add(&text, "; ");
    rl_text_add(&text, c->picker.title);
    rl_text_add(&text, " stands there now. undo puts it back.");
  }
}

void
rl_picker_put(RlController *const c)
{
  const RlView *const v = &c->view;
  const char         *why;
  if (v->phrases.selected < 0 || v->phrases.selected >= rl_view_phrases(v) ||
      !c->picker.plan.planned_count) {
    return; /* none, or one that cannot be read: its error is shown already */
  }
  const RlSlice       tune = rl_view_phrase_tune(v, v->phrases.selected);
  const RlPlan *const plan = plan_with_tune(c, tune, &why);
  RlText              out  = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  why = plan ? rl_plan_put(plan, &v->phrases.planned, c->picker.title, tune, &out) : why;
  rl_editing_error(c, why ? why : "");
  if (plan && !why) {
    replaced_tell(c);
    plan_send(c);
  }
}

void
rl_picker_clear_bar(RlController *const c)
{
  RlText out = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  rl_plan_clear_bar(&c->plan, c->view.phrases.planned.bar, &out);
  plan_send(c);
}

void
rl_picker_panel(RlController *const c, const int panel)
{
  RlPhrasePanel *const now = &c->view.phrases.panel;
  *now = *now == (RlPhrasePanel)panel ? RL_PHRASE_PANEL_PUT : (RlPhrasePanel)panel;
  rl_editing_error(c, "");
  rl_picker_update(c);
}
