/* SPDX-License-Identifier: ISC */
/* Private to core/ear/phrase: a small net, one table for every pitch. It says for each frame how
   likely the horn holds a pitch or rests, and whether a note begins. What it sees of a pitch: 19
   places of its partials, from a quarter of its frequency to twelve times, and those beside; where
   in their half step they lie; how much of it there was in the seconds around; then what that made
   of half a second around, of the octaves and twelfths above and below and of the strongest pitch;
   and the short window over the 60 ms around. Trained on rendered sound (tests/ear/lift). */
#ifndef RL_CORE_EAR_PHRASE_NET_H
#define RL_CORE_EAR_PHRASE_NET_H

#include "core/ear/phrase/spectra.h"

enum {
  RL_LIFT_NET_PARTIALS = 19,
  RL_LIFT_NET_BESIDE   = 3, /* partials whose neighbours are looked at */
  RL_LIFT_NET_LEANS    = 3, /* where partials lie within their half step */
  RL_LIFT_NET_IN =
    2 * RL_LIFT_NET_PARTIALS + 2 * RL_LIFT_NET_BESIDE + RL_LIFT_NET_LEANS + RL_LIFT_SLOW + 2,
  RL_LIFT_NET_PITCH = 28,
  RL_LIFT_NET_TAPS  = 9,  /* frames up to 240 ms away */
  RL_LIFT_NET_APART = 4,  /* pitches above and below */
  RL_LIFT_NET_STEPS = 13, /* frames of the short window */
  RL_LIFT_NET_EDGE  = 12,
  RL_LIFT_NET_BOTH  = RL_LIFT_NET_PITCH + RL_LIFT_NET_EDGE,
  RL_LIFT_NET_LAST  = 20,
  RL_LIFT_NET_REST  = 8,
  RL_LIFT_STATES    = RL_LIFT_PITCHES + 1 /* the last is a rest */
};

/* The table: rows are inputs. */
typedef struct {
  float pitch[RL_LIFT_NET_IN][RL_LIFT_NET_PITCH], pitch_bias[RL_LIFT_NET_PITCH];
  float around[RL_LIFT_NET_TAPS][RL_LIFT_NET_PITCH][RL_LIFT_NET_PITCH];
  float apart[RL_LIFT_NET_APART][RL_LIFT_NET_PITCH][RL_LIFT_NET_PITCH];
  float strongest[RL_LIFT_NET_PITCH][RL_LIFT_NET_PITCH], held_bias[RL_LIFT_NET_PITCH];
  float edge[RL_LIFT_NET_STEPS][2][RL_LIFT_NET_EDGE], edge_bias[RL_LIFT_NET_EDGE];
  float band[RL_LIFT_NET_STEPS][RL_LIFT_BANDS][RL_LIFT_NET_EDGE];
  float both[RL_LIFT_NET_BOTH][RL_LIFT_NET_LAST], both_bias[RL_LIFT_NET_LAST];
  float out[RL_LIFT_NET_LAST][2], out_bias[2];
  float rest[RL_LIFT_NET_BOTH][RL_LIFT_NET_REST], rest_bias[RL_LIFT_NET_REST];
  float silent[RL_LIFT_NET_REST], silent_bias;
} RlLiftNet;

extern const RlLiftNet rl_lift_net_learned;

/* What the net says. */
typedef struct {
  int    frames;
  float *holds;  /* [frames][RL_LIFT_STATES]: natural logarithms, their exponentials sum to 1 */
  float *begins; /* [frames][RL_LIFT_PITCHES]: log odds */
} RlLiftHeard;

void rl_lift_heard_take(RlLiftHeard *heard, int frames, RlLiftRoom *room);

/* What it needs besides comes from `room` and is given back. */
void rl_lift_net(const RlLiftNet *net, const RlLiftSpectra *spectra, RlLiftRoom *room,
                 RlLiftHeard *heard);

#endif
