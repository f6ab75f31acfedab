/* The page of phrases, as the board sees it: the library, the phrase looked at, and the plan. */
#include "inside.h"

#include <string.h>

/* Of the harps owned, or of all keys as long as none is: those that play it most easily, there. */
static void
best_find(RlBoard *const b)
{
  RlView *const      v    = &b->view;
  RlLaneRoom *const  room = &b->lane_room;
  const RlHarpChoice mine = rl_view_harp(v);
  RlHarpChoice       harps[RL_OWNED_MAX];
  RlTabRank          ranked[RL_OWNED_MAX];
  int                n = rl_owned_list(&b->owned, harps);
  v->pick_bests        = 0;
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

/* A plan of the phrase looked at alone, and what comes of it on this harp. */
void
rl_board_pick(RlBoard *const b)
{
  RlView *const v    = &b->view;
  RlPlanned     p    = v->picked;
  RlText        text = rl_text_in(b->text, sizeof(b->text));
  RlAbcError    wrong;
  RlPlanError   error;
  b->pick_lane.notes = b->pick_lane.replaced = 0;
  b->pick_plan.planned_count = b->pick_plan.phrase_count = 0;
  v->pick_followed = v->pick_bests = 0;
  if (v->pick < 0 || v->pick >= b->library.count || !v->form) {
    return;
  }
  p.choruses = 0; /* it is looked at as it sounds in those it is meant for */
  if (!rl_abc_read(rl_library_tune(&b->library, v->pick), &b->lane_room.phrase, &wrong)) {
    RlText words = rl_text_in(b->edit_error, sizeof(b->edit_error));
    rl_abc_error_write(&wrong, &words);
    return;
  }
  memcpy(b->pick_title, b->lane_room.phrase.title, sizeof(b->pick_title));
  rl_plan_line(&p, b->pick_title, &text);
  rl_text_add(&text, "\n\n");
  rl_text_add_slice(&text, rl_library_tune(&b->library, v->pick));
  if (rl_plan_read(rl_slice(b->text), &b->lane_room.phrase, &b->pick_plan, &error)) {
    rl_lane_make(&b->pick_plan, v->form, rl_view_key(v), rl_view_harp(v), rl_view_player(v),
                 &b->lane_room, &b->pick_lane);
  }
  for (int i = 0; i < b->pick_lane.notes; ++i) {
    v->pick_followed += b->pick_lane.note[i].followed;
  }
  best_find(b);
}

/* The bar that plays, so that a phrase just heard can be put where it was heard. */
static int
bar_now(const RlView *const v)
{
  const int index = rl_view_index(v);
  return index >= 0 ? index + 1 : 1;
}

void
rl_board_phrases_open(RlBoard *const b)
{
  RlView *const v = &b->view;
  rl_library_read(&b->library, b->phrases[0] ? b->phrases : NULL, b->book[0] ? b->book : NULL);
  v->library    = &b->library;
  v->pick       = v->pick < b->library.count ? v->pick : -1;
  v->pick       = v->pick < 0 && b->library.count ? 0 : v->pick;
  v->picked.bar = (uint16_t)bar_now(v);
  rl_board_pick(b);
}

static void
plan_send(RlBoard *const b)
{
  b->plugin.set_text(b->plugin.data, RL_TEXT_PLAN, b->text);
}

void
rl_board_put(RlBoard *const b)
{
  const RlView *const v   = &b->view;
  RlText              out = rl_text_in(b->text, sizeof(b->text));
  if (v->pick < 0 || v->pick >= b->library.count || !b->pick_plan.planned_count) {
    return; /* none, or one that cannot be read: that is said already */
  }
  const char *const why =
    rl_plan_put(&b->plan, &v->picked, b->pick_title, rl_library_tune(&b->library, v->pick), &out);
  rl_board_error(b, why ? why : "");
  if (!why) {
    plan_send(b);
  }
}

void
rl_board_free_bar(RlBoard *const b)
{
  RlText out = rl_text_in(b->text, sizeof(b->text));
  rl_plan_take(&b->plan, b->view.picked.bar, &out);
  plan_send(b);
}
