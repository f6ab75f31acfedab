/* SPDX-License-Identifier: ISC */
#include "plugin/shared/snapshot.h"

bool
rl_hand_same(const RlHand *const a, const RlHand *const b)
{
  return a->harp.key == b->harp.key && a->harp.range == b->harp.range &&
         a->harp.tuning == b->harp.tuning && a->player.draw_bends == b->player.draw_bends &&
         a->player.blow_bends == b->player.blow_bends &&
         a->player.overblows == b->player.overblows && a->song_key == b->song_key;
}

const char *
rl_snapshot_text(const RlSnapshot *const snapshot, const RlProperty property)
{
  const char *const texts[RL_PROPERTIES] = {
    [RL_CHART]        = snapshot->form.text,
    [RL_CHART_FILE]   = snapshot->chart_file,
    [RL_PLAN]         = snapshot->plan,
    [RL_TAKE]         = snapshot->take,
    [RL_PRACTICE]     = snapshot->practice,
    [RL_OSC_TO]       = snapshot->osc_to,
    [RL_PROBLEM]      = snapshot->problem,
    [RL_TAKE_EDIT]    = "",
    [RL_BAR_ONE_EDIT] = "",
    [RL_LIFT]         = "",
    [RL_HEAR_TAKE]    = "",
  };
  return texts[property];
}

RlKey
rl_snapshot_key(const RlSnapshot *const snapshot, const int song_key)
{
  return rl_form_key(&snapshot->form, song_key);
}
