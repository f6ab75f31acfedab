/* SPDX-License-Identifier: ISC */
/* The page of phrases, as the board sees it: the library, the phrase looked at, and the plan. */
#include "ui/controller/controller_state.h"

#include "core/phrase/retouch.h"

#include <stdlib.h>
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
  v->pick_bests            = 0;
  if (!b->pick_lane.notes || !rl_lane_move(&b->pick_plan, 0, v->form, rl_view_key(v), room)) {
    return;
  }
  const bool none = n == 0;
  for (int key = 0; none && key < RL_KEYS; ++key) {
    harps[n++] = (RlHarpChoice){(uint8_t)key, mine.range, mine.tuning};
  }
  rl_tab_rank(room->note, room->phrase.notes, room->over, harps, n, rl_view_player(v), &room->room,
              room->tab, ranked);
  for (; v->pick_bests < n && v->pick_bests < RL_PICK_BEST; ++v->pick_bests) {
    v->pick_best[v->pick_bests] = ranked[v->pick_bests].choice;
  }
}

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
  b->plugin.set_text(b->plugin.data, RL_TEXT_TAKE, b->text);
}

/* A part of a MIDI file becomes a take, as if it had been played; the plugin tells it then. */
static void
midi_open(RlController *const b)
{
  const RlView *const v     = &b->view;
  const int           index = v->pick - b->takes.phrase_count;
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

/* Where the onset lies that is being put right. */
static void
touch_find(RlController *const b)
{
  RlView *const         v      = &b->view;
  const RlPhrase *const p      = &b->lane_room.phrase;
  const int             onsets = rl_retouch_onsets(p);
  v->pick_note                 = v->pick_note < onsets ? v->pick_note : onsets - 1;
  v->pick_at                   = v->form->starts[RL_AXIS_QUARTERS][v->picked.bar - 1] * RL_TICKS +
               p->note[rl_retouch_first(p, v->pick_note)].at;
}

/* A plan of the phrase looked at alone, and what comes of it on this harp. */
void
rl_controller_pick(RlController *const b)
{
  RlView *const v    = &b->view;
  RlPlanned     p    = v->picked;
  RlText        text = rl_text_in(b->text, sizeof(b->text));
  RlAbcError    wrong;
  RlPlanError   error;
  b->pick_lane.notes = b->pick_lane.replaced = 0;
  b->pick_plan.planned_count = b->pick_plan.phrase_count = 0;
  v->pick_followed = v->pick_bests = 0;
  if (v->pick < 0 || v->pick >= rl_view_picks(v) || !v->form) {
    return;
  }
  if (rl_view_pick_midi(v, v->pick)) {
    midi_open(b);
    return;
  }
  p.choruses = 0; /* it is looked at as it sounds in those it is meant for */
  if (!rl_abc_read(rl_view_pick_tune(v, v->pick), &b->lane_room.phrase, &wrong)) {
    RlText words = rl_text_in(b->edit_error, sizeof(b->edit_error));
    rl_abc_error_write(&wrong, &words);
    return;
  }
  touch_find(b);
  memcpy(b->pick_title, b->lane_room.phrase.title, sizeof(b->pick_title));
  rl_plan_line(&p, b->pick_title, &text);
  rl_text_add(&text, "\n\n");
  rl_text_add_slice(&text, rl_view_pick_tune(v, v->pick));
  if (rl_plan_read(rl_slice(b->text), &b->lane_room.phrase, &b->pick_plan, &error)) {
    rl_lane_make(&b->pick_plan, v->form, rl_view_key(v), rl_view_harp(v), rl_view_player(v),
                 &b->lane_room, &b->pick_lane);
  }
  for (int i = 0; i < b->pick_lane.notes; ++i) {
    v->pick_followed += b->pick_lane.note[i].followed;
  }
  best_find(b);
}

/* A bar goes round, the ending's with it. */
void
rl_controller_pick_turn(RlController *const b, const RlDoing doing)
{
  RlView *const v = &b->view;
  const int     n = v->form ? v->form->bars + v->form->ending_bars : 1;
  if (doing.doing == RL_DO_PICK) {
    v->pick      = doing.value;
    v->pick_note = 0;
  } else if (doing.doing == RL_DO_PICK_BAR) {
    v->picked.bar = (uint16_t)((v->picked.bar - 1 + doing.value + n) % n + 1);
  } else {
    v->picked.move = (uint8_t)((v->picked.move + 1) % RL_MOVES);
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

static void
take_newest(RlController *const b)
{
  RlView *const v = &b->view;
  v->pick         = b->takes.phrase_count - 1;
  v->pick_note    = 0;
  v->picked.bar   = (uint16_t)take_bar(&b->takes, v->pick);
  v->scroll       = 0;
}

/* What is looked at when the page opens: the phrase that was, else the first. A MIDI file becomes a
   take only when it is asked for. */
static int
pick_first(const RlView *const v)
{
  int pick = v->pick >= 0 && v->pick < rl_view_picks(v) ? v->pick : 0;
  while (rl_view_pick_midi(v, pick)) {
    ++pick;
  }
  return pick < rl_view_picks(v) ? pick : -1;
}

void
rl_controller_phrases_open(RlController *const b)
{
  RlView *const v = &b->view;
  rl_library_read(&b->library, b->phrases[0] ? b->phrases : NULL, b->book[0] ? b->book : NULL);
  v->library = &b->library;
  rl_controller_find(b, "");
  v->pick       = pick_first(v);
  v->picked.bar = (uint16_t)bar_now(v);
  if (b->takes.phrase_count) {
    take_newest(b);
  }
  rl_controller_pick(b);
}

void
rl_controller_takes_come(RlController *const b, const int before)
{
  RlView *const v = &b->view;
  if (v->page == RL_PAGE_PHRASES) {
    take_newest(b);
  } else if (v->pick >= before) {
    v->pick += b->takes.phrase_count - before; /* still the same phrase of the library */
  }
}

void
rl_controller_takes_go(RlController *const b, const int before)
{
  RlView *const v    = &b->view;
  const int     gone = before - b->takes.phrase_count;
  if (gone > 0 && v->pick >= before) {
    v->pick -= gone; /* still the same phrase of the library */
  } else if (gone > 0 && v->pick >= b->takes.phrase_count) {
    v->pick = b->takes.phrase_count - 1; /* the last take, or none: no other phrase in its place */
  }
  v->pick = v->pick < rl_view_picks(v) ? v->pick : -1;
}

static void
plan_send(RlController *const b)
{
  b->plugin.set_text(b->plugin.data, RL_TEXT_PLAN, b->text);
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
  if (v->pick < 0 || v->pick >= rl_view_picks(v) || !b->pick_plan.planned_count) {
    return; /* none, or one that cannot be read: that is said already */
  }
  const RlSlice       tune = rl_view_pick_tune(v, v->pick);
  const RlPlan *const plan = plan_fresh(b, tune, &why);
  RlText              out  = rl_text_in(b->text, sizeof(b->text));
  why                      = plan ? rl_plan_put(plan, &v->picked, b->pick_title, tune, &out) : why;
  rl_controller_error(b, why ? why : "");
  if (plan && !why) {
    plan_send(b);
  }
}

void
rl_controller_free_bar(RlController *const b)
{
  RlText out = rl_text_in(b->text, sizeof(b->text));
  rl_plan_clear_bar(&b->plan, b->view.picked.bar, &out);
  plan_send(b);
}

/* ---- takes ---- */

static void
take_drop(RlController *const b)
{
  RlText out = rl_text_in(b->text, sizeof(b->text));
  rl_plan_drop(&b->takes, b->view.pick, &out);
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
      rl_plan_change(&b->takes, b->view.pick, rl_abc_tune(phrase, &text), &out);
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
rl_controller_take(RlController *const b, const RlDoing doing)
{
  RlView *const   v      = &b->view;
  RlPhrase *const phrase = &b->lane_room.phrase;
  if (!rl_view_is_take(v, v->pick)) {
    return;
  }
  rl_controller_error(b, "");
  rl_plan_phrase(&b->takes, v->pick, phrase);
  const int onsets = rl_retouch_onsets(phrase);
  const int note   = v->pick_note < onsets ? v->pick_note : onsets - 1;
  switch (doing.doing) {
  case RL_DO_NOTE:
    v->pick_note = (note + doing.value + onsets) % onsets;
    rl_controller_pick(b);
    break;
  case RL_DO_SHIFT:
    if (rl_retouch_shift(phrase, note, doing.value)) {
      take_write(b, phrase);
    } else {
      rl_controller_error(b, "there is no place for it there; move the notes beside it first");
    }
    break;
  case RL_DO_UNNOTE:
    if (rl_retouch_remove(phrase, note)) {
      v->pick_note = note ? note - 1 : 0;
      take_write(b, phrase);
    } else {
      rl_controller_error(b, "the only note stays; discard the take");
    }
    break;
  case RL_DO_HOLD:
    take_hold(b, phrase);
    break;
  default:
    take_drop(b);
    break;
  }
}
