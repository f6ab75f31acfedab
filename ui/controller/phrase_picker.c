/* SPDX-License-Identifier: ISC */
/* The page of phrases, as the board sees it: the library, the phrase looked at, and the plan. */
#include "ui/controller/controller_state.h"
#include "ui/controller/takes.h"

#include "core/phrase/edit.h"

#include <string.h>

/* Of the harps owned, or of all keys as long as none is: those that play it most easily, there. */
static void
best_find(RlController *const b)
{
  RlView *const          v    = &b->view;
  RlLaneWorkspace *const room = &b->lane_room;
  const RlHarpChoice     mine = rl_view_harp(v);
  RlHarpChoice           harps[RL_OWNED_MAX];
  RlTabRank              ranked[RL_OWNED_MAX];
  int                    n = rl_owned_harps_list(&b->owned, harps);
  v->phrases.best_count    = 0;
  if (!b->pick_lane.notes || !rl_lane_move(&b->pick_plan, 0, v->form, rl_view_key(v), room)) {
    return;
  }
  const bool none = n == 0;
  for (int key = 0; none && key < RL_KEYS; ++key) {
    harps[n++] = (RlHarpChoice){(uint8_t)key, mine.range, mine.tuning};
  }
  rl_tab_rank(room->note, room->phrase.notes, room->over, harps, n, rl_view_player(v),
              &room->tab_workspace, room->tab, ranked);
  for (; v->phrases.best_count < n && v->phrases.best_count < RL_BEST_HARPS;
       ++v->phrases.best_count) {
    v->phrases.best[v->phrases.best_count] = ranked[v->phrases.best_count].choice;
  }
}

/* Where the onset lies that is being put right. */
static void
touch_find(RlController *const b)
{
  RlView *const         v      = &b->view;
  const RlPhrase *const p      = &b->lane_room.phrase;
  const int             onsets = rl_phrase_onsets(p);
  v->phrases.note              = v->phrases.note < onsets ? v->phrases.note : onsets - 1;
  v->phrases.note_at = v->form->starts[RL_AXIS_QUARTERS][v->phrases.planned.bar - 1] * RL_TICKS +
                       p->note[rl_phrase_onset_first(p, v->phrases.note)].at;
}

/* A plan of the phrase looked at alone, and what comes of it on this harp. */
void
rl_controller_pick(RlController *const b)
{
  RlView *const v    = &b->view;
  RlPlanned     p    = v->phrases.planned;
  RlText        text = rl_text_in(b->text, sizeof(b->text));
  RlAbcError    wrong;
  RlPlanError   error;
  b->pick_lane.notes = b->pick_lane.replaced = 0;
  b->pick_plan.planned_count = b->pick_plan.phrase_count = 0;
  v->phrases.followed = v->phrases.best_count = 0;
  if (v->phrases.selected < 0 || v->phrases.selected >= rl_view_phrases(v) || !v->form) {
    return;
  }
  if (rl_view_phrase_is_midi(v, v->phrases.selected)) {
    rl_takes_add_midi(b);
    return;
  }
  p.choruses = 0; /* it is looked at as it sounds in those it is meant for */
  if (!rl_abc_read(rl_view_phrase_tune(v, v->phrases.selected), &b->lane_room.phrase, &wrong)) {
    RlText words = rl_text_in(b->edit_error, sizeof(b->edit_error));
    rl_abc_error_write(&wrong, &words);
    return;
  }
  touch_find(b);
  memcpy(b->pick_title, b->lane_room.phrase.title, sizeof(b->pick_title));
  rl_plan_line(&p, b->pick_title, &text);
  rl_text_add(&text, "\n\n");
  rl_text_add_slice(&text, rl_view_phrase_tune(v, v->phrases.selected));
  if (rl_plan_read(rl_slice(b->text), &b->lane_room.phrase, &b->pick_plan, &error)) {
    rl_lane_make(&b->pick_plan, v->form, rl_view_key(v), rl_view_harp(v), rl_view_player(v),
                 &b->lane_room, &b->pick_lane);
  }
  for (int i = 0; i < b->pick_lane.notes; ++i) {
    v->phrases.followed += b->pick_lane.note[i].followed;
  }
  best_find(b);
}

/* A bar goes round, the ending's with it. */
void
rl_controller_pick_turn(RlController *const b, const RlAction action)
{
  RlView *const v = &b->view;
  const int     n = v->form ? v->form->bars + v->form->ending_bars : 1;
  if (action.kind == RL_ACTION_PHRASE_SELECT) {
    v->phrases.selected = action.value;
    v->phrases.note     = 0;
  } else if (action.kind == RL_ACTION_PHRASE_BAR) {
    v->phrases.planned.bar = (uint16_t)((v->phrases.planned.bar - 1 + action.value + n) % n + 1);
  } else {
    v->phrases.planned.move = (uint8_t)((v->phrases.planned.move + 1) % RL_MOVES);
  }
  rl_controller_error(b, "");
  rl_controller_pick(b);
}

/* The bar that plays, so that a phrase just heard can be put where it was heard. */
static int
bar_now(const RlView *const v)
{
  const int index = rl_view_index(v);
  return index >= 0 ? index + 1 : 1;
}

/* What is looked at when the page opens: the phrase that was, else the first. A MIDI file becomes a
   take only when it is asked for. */
static int
pick_first(const RlView *const v)
{
  int pick =
    v->phrases.selected >= 0 && v->phrases.selected < rl_view_phrases(v) ? v->phrases.selected : 0;
  while (rl_view_phrase_is_midi(v, pick)) {
    ++pick;
  }
  return pick < rl_view_phrases(v) ? pick : -1;
}

void
rl_controller_phrases_open(RlController *const b)
{
  RlView *const v = &b->view;
  rl_library_read(&b->library, b->phrases[0] ? b->phrases : NULL, b->book[0] ? b->book : NULL);
  v->phrases.library = &b->library;
  rl_controller_find(b, "");
  v->phrases.selected    = pick_first(v);
  v->phrases.planned.bar = (uint16_t)bar_now(v);
  if (b->takes.phrase_count) {
    rl_takes_look_at_newest(b);
  }
  rl_controller_pick(b);
}

static void
plan_send(RlController *const b)
{
  b->plugin.set_text(b->plugin.data, RL_PLAN, b->text);
}

/* The plan with the phrase looked at as it is now, if it has one of that title that is another.
   NULL: there is no room, and `why` says so. */
static const RlPlan *
plan_fresh(RlController *const b, const RlSlice tune, const char **const why)
{
  const int     known = rl_plan_find(&b->plan, b->pick_title);
  const RlSlice was   = rl_slice_trim(known < 0 ? tune : rl_plan_tune(&b->plan, known));
  const RlSlice is    = rl_slice_trim(tune);
  RlText        out   = rl_text_in(b->text, sizeof(b->text));
  RlPlanError   error;
  *why = NULL;
  if (was.length == is.length && !memcmp(was.at, is.at, is.length)) {
    return &b->plan;
  }
  *why = rl_plan_change(&b->plan, known, tune, &out);
  return !*why && rl_plan_read(rl_slice(b->text), &b->lane_room.phrase, &b->plan_trial, &error)
           ? &b->plan_trial
           : NULL;
}

void
rl_controller_put(RlController *const b)
{
  const RlView *const v = &b->view;
  const char         *why;
  if (v->phrases.selected < 0 || v->phrases.selected >= rl_view_phrases(v) ||
      !b->pick_plan.planned_count) {
    return; /* none, or one that cannot be read: that is said already */
  }
  const RlSlice       tune = rl_view_phrase_tune(v, v->phrases.selected);
  const RlPlan *const plan = plan_fresh(b, tune, &why);
  RlText              out  = rl_text_in(b->text, sizeof(b->text));
  why = plan ? rl_plan_put(plan, &v->phrases.planned, b->pick_title, tune, &out) : why;
  rl_controller_error(b, why ? why : "");
  if (plan && !why) {
    plan_send(b);
  }
}

void
rl_controller_free_bar(RlController *const b)
{
  RlText out = rl_text_in(b->text, sizeof(b->text));
  rl_plan_clear_bar(&b->plan, b->view.phrases.planned.bar, &out);
  plan_send(b);
}
