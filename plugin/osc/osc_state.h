/* SPDX-License-Identifier: ISC */
/* Everything that is sent, as it stands at one instant; plain data, made from a snapshot of the
   audio thread's. Any thread but the audio thread's. */
#ifndef RL_PLUGIN_OSC_OSC_STATE_H
#define RL_PLUGIN_OSC_OSC_STATE_H

#include "core/harmony/lamps.h"
#include "plugin/shared/osc_snapshot.h"

typedef struct {
  bool           rolling;
  float          tempo;       /**< beats a minute */
  int            beats, unit; /**< of the bar's meter */
  int            chorus, bar, bars;
  float          beat, sure;
  char           now[RL_CHORD_SIZE], next[RL_CHORD_SIZE]; /**< by letter; empty: none */
  char           now_degree[RL_CHORD_SIZE], next_degree[RL_CHORD_SIZE];
  float          beats_to_next;
  RlTarget       target;
  char           harp_key[RL_NAME_SIZE], song_key[RL_NAME_SIZE];
  RlTuning       tuning;
  int            position;
  RlShow         show;
  RlLamps        lamps; /**< degree RL_DEGREES: dark, there is no chord to measure by */
  RlHearingState hearing;
  bool           tuned;
  float          cents, key_sure;
  char           key_heard[RL_NAME_SIZE]; /**< empty: not heard */
  float          loop_from, loop_to;
  unsigned       notes; /**< as RlOscSnapshot.notes */
  int            sounding;
  RlBegunNote    note[RL_PHRASE_TOGETHER];
  RlHeardNow     heard;
  RlHitsTold     hits;
  char           title[RL_PHRASE_TITLE_SIZE]; /**< of their phrase */
} RlOscState;

/** What a snapshot comes to; `title` is that of the phrase that sounds, if one does. Without a
   chord all lamps are dark. */
RlOscState rl_osc_state_of(const RlOscSnapshot *snapshot, const char *title);

/** Everything stands still and is dark. */
void rl_osc_state_end(RlOscState *state);

#endif
