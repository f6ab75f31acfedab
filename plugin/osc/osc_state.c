/* SPDX-License-Identifier: ISC */
#include "plugin/osc/osc_state.h"

#include <string.h>

static void
chord_write(const bool there, const RlHarmony *const chord, char *const name, char *const degree)
{
  RlText by_letter = rl_text_in(name, RL_CHORD_SIZE);
  RlText by_degree = rl_text_in(degree, RL_CHORD_SIZE);
  if (there) {
    rl_harmony_name(chord, &by_letter);
    rl_harmony_degree(chord, &by_degree);
  }
}

static void
key_write(const RlKey key, char *const to)
{
  RlText text = rl_text_in(to, RL_NAME_SIZE);
  rl_key_write(key, &text);
}

static void
lamps_out(RlLamps *const lamps)
{
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      lamps->lamp[hole][how].worth = rl_worth_out;
    }
  }
}

void
rl_osc_state_end(RlOscState *const state)
{
  state->rolling            = false;
  state->sounding           = 0;
  state->heard.played.count = 0;
  lamps_out(&state->lamps);
}

RlOscState
rl_osc_state_of(const RlOscSnapshot *const n, const char *const title)
{
  const RlHarp harp  = rl_harp_make(n->hand.harp);
  RlOscState   state = {.rolling       = n->rolling,
                        .tempo         = n->tempo,
                        .beats         = n->beats,
                        .unit          = n->unit,
                        .chorus        = n->chorus,
                        .bar           = n->bar,
                        .bars          = n->bars,
                        .beat          = n->beat,
                        .sure          = n->sure,
                        .beats_to_next = n->beats_to_next,
                        .target        = n->target,
                        .tuning        = n->hand.harp.tuning,
                        .position      = n->position,
                        .hearing       = n->hearing,
                        .tuned         = n->tuned,
                        .cents         = n->cents,
                        .key_sure      = n->key_sure,
                        .loop_from     = n->loop_from,
                        .loop_to       = n->loop_to,
                        .notes         = n->notes,
                        .sounding      = n->sounding,
                        .show          = n->show,
                        .heard         = n->heard,
                        .hits          = n->hits,
                        .lamps         = rl_lamps_light(&harp, n->hand.player, &n->now, n->key)};
  rl_lamps_show(&state.lamps, n->show, n->landed.hole, n->landed.technique);
  chord_write(n->sounds, &n->now, state.now, state.now_degree);
  chord_write(n->follows, &n->next, state.next, state.next_degree);
  key_write(rl_key_named(n->hand.harp.key, false), state.harp_key);
  key_write(n->key, state.song_key);
  if (n->key_heard != RL_KEY_NOT_HEARD) {
    key_write(rl_key_named(n->key_heard, n->key.minor), state.key_heard);
  }
  RlText words = rl_text_in(state.title, sizeof(state.title));
  rl_text_add(&words, title);
  memcpy(state.note, n->note, sizeof(state.note));
  if (!n->sounds) {
    lamps_out(&state.lamps);
  }
  return state;
}
