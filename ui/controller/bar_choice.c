/* SPDX-License-Identifier: ISC */
#include "ui/controller/bar_choice.h"

#include "ui/controller/actions.h"
#include "ui/controller/controller_state.h"

#include "plugin/protocol/lift_ask.h"

/* Can bars be chosen now? */
static bool
possible(const RlView *const v)
{
  return v->form && v->screen == RL_SCREEN_PLAY && v->edit.kind == RL_EDIT_NOTHING &&
         v->edit.list == RL_NO_FIELD;
}

/* The bar in a spot; -1: it is none, or of the ending. */
static int
bar_in(const RlController *const c, const int spot)
{
  const RlLayout *const l   = &c->redraw.layout;
  const bool            bar = spot >= l->live && spot < l->spots &&
                   l->spot[spot].action.kind == RL_ACTION_BAR_EDIT &&
                   l->spot[spot].action.value < c->view.form->bars;
  return bar ? l->spot[spot].action.value : -1;
}

void
rl_bar_choice_drag(RlController *const c, const RlInput *const input)
{
  RlView *const v = &c->view;
  if (v->pressed.kind != RL_ACTION_BAR_EDIT || !possible(v) || v->pressed.value >= v->form->bars) {
    return;
  }
  const int bar = bar_in(c, rl_layout_hit(&c->redraw.layout, input->x, input->y));
  if (bar >= 0 && (v->bars.chosen || bar != v->pressed.value)) {
    v->bars       = (RlViewBars){true, v->pressed.value, bar};
    c->redraw.all = true;
  }
}

static void
extend(RlController *const c, const int by)
{
  RlView *const v     = &c->view;
  const int     focus = bar_in(c, v->focus);
  const int     plays = rl_view_index(v);
  const int     last  = v->form->bars - 1;
  const int     from  = focus >= 0 ? focus : plays >= 0 && plays <= last ? plays : 0;
  const int     to    = v->bars.chosen ? v->bars.to + by : focus >= 0 ? from + by : from;
  v->bars             = (RlViewBars){true, v->bars.chosen ? v->bars.from : from,
                         to < 0      ? 0
                                     : to > last ? last
                                                 : to};
}

bool
rl_bar_choice_key(RlController *const c, const RlInput *const input, const double now)
{
  static const struct {
    int key, by;
  } arrows[] = {
    {RL_KEY_LEFT, -1}, {RL_KEY_RIGHT, 1}, {RL_KEY_UP, -RL_ROW_BARS}, {RL_KEY_DOWN, RL_ROW_BARS}};
  if (!possible(&c->view)) {
    return false;
  }
  for (int i = 0; i < 4; ++i) {
    if (input->shift && !input->control && !input->alt && input->key == arrows[i].key) {
      extend(c, arrows[i].by);
      return true;
    }
  }
  if (c->view.bars.chosen && input->key == RL_KEY_ESCAPE) {
    rl_bar_choice_end(c);
    return true;
  }
  if (c->view.bars.chosen && input->key == RL_KEY_ENTER) {
    rl_action_run(c, (RlAction){RL_ACTION_BARS_LIFT, 0}, now);
    return true;
  }
  return false;
}

void
rl_bar_choice_end(RlController *const c)
{
  c->view.bars.chosen = false;
}

void
rl_bar_choice_lift(RlController *const c)
{
  char   words[RL_LIFT_ASK_MOST + 1];
  RlText text = rl_text_in(words, sizeof(words));
  int    first, last;
  if (rl_view_chosen(&c->view, &first, &last)) {
    rl_lift_ask_bars(&text, first + 1, last + 1);
    rl_bar_choice_end(c);
    c->plugin.set_text(c->plugin.data, RL_LIFT, words);
  }
}
