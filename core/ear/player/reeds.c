/* SPDX-License-Identifier: ISC */
#include "core/ear/player/reeds.h"

#include <math.h>
#include <string.h>

static const float quarter_tone = 1.0293F;
static const float highest_line = 0.33F; /* of the rate */
static const float on_a_partial = 55.0F; /* Hz */

static int
line_of(RlReeds *const r, const float hz, const float rate)
{
  for (int i = 0; i < r->lines; ++i) {
    if (fabsf(1200 * log2f(hz / r->line_hz[i])) < 20) {
      return i;
    }
  }
  if (hz > highest_line * rate || r->lines == RL_REED_LINES) {
    return -1;
  }
  r->line_hz[r->lines] = hz;
  return r->lines++;
}

static void
note_add(RlReeds *const r, const int hole, const RlTechnique technique, const uint8_t midi,
         const float rate)
{
  RlReedNote *const n    = &r->note[r->notes];
  const float       hz   = 440 * powf(2, ((float)midi - 69) / 12);
  const float       lag  = rate / hz;
  const float       span = 3 * lag;
  *n                     = (RlReedNote){.hole      = (uint8_t)hole,
                                        .technique = (uint8_t)technique,
                                        .midi      = midi,
                                        .same      = (int8_t)r->notes,
                                        .hz        = hz,
                                        .lag       = lag,
                                        .low       = (int16_t)floorf(lag / quarter_tone),
                                        .high      = (int16_t)ceilf(lag * quarter_tone),
                                        .window    = span <= 256   ? 1
                                                     : span <= 512 ? 2
                                                                   : 3};
  for (int i = r->notes - 1; i >= 0; --i) {
    n->same = r->note[i].midi == midi ? (int8_t)i : n->same;
  }
  ++r->notes;
}

/* Fundamentals first: the lines beyond the last that fits are partials. */
static void
lines_add(RlReeds *const r, const float rate)
{
  for (int partial = 1; partial <= RL_REED_PARTIALS; ++partial) {
    for (int k = 0; k < r->notes; ++k) {
      r->note[k].line[partial - 1] = (int16_t)line_of(r, (float)partial * r->note[k].hz, rate);
    }
  }
}

/* Holes of one pitch are one to the ear: two of them are no chord, and of two chords of the same
   pitches the lower is taken. */
static void
state_add(RlReeds *const r, const RlReedState state)
{
  RlReedState *const to = &r->state[r->states];
  if (r->states == RL_REED_STATES) {
    return;
  }
  *to = state;
  for (int i = 0; i < to->count; ++i) {
    const uint64_t pitch = UINT64_C(1) << r->note[to->note[i]].same;
    if (to->pitches & pitch) {
      return;
    }
    to->pitches |= pitch;
  }
  for (int s = 0; s < r->states; ++s) {
    if (r->state[s].pitches == to->pitches) {
      return;
    }
  }
  ++r->states;
}

/* The note of a hole by one of the two natural techniques, or -1. */
static int
natural(const RlReeds *const r, const int hole, const RlTechnique technique)
{
  for (int k = 0; k < r->notes; ++k) {
    if (r->note[k].hole == hole && r->note[k].technique == technique) {
      return k;
    }
  }
  return -1;
}

static void
reeds_find(RlReeds *const r)
{
  for (int k = 0; k < r->notes; ++k) {
    RlReedNote *const n         = &r->note[k];
    const RlTechnique technique = (RlTechnique)n->technique;
    const RlTechnique breath    = rl_technique_draws(technique) ? RL_DRAW : RL_BLOW;
    n->reed = (int8_t)(technique < RL_OVERBLOW ? natural(r, n->hole, breath) : -1);
  }
}

static void
together_add(RlReeds *const r, const RlTechnique breath)
{
  int at[RL_HOLES + 4];
  for (int h = 0; h < RL_HOLES + 4; ++h) {
    at[h] = h < RL_HOLES ? natural(r, h + 1, breath) : -1;
  }
  for (int h = 0; h < RL_HOLES; ++h) {
    for (int apart = 1; at[h] >= 0 && apart <= 4; ++apart) {
      if (apart != 2 && at[h + apart] >= 0) {
        state_add(r, (RlReedState){.note  = {(uint8_t)at[h], (uint8_t)at[h + apart]},
                                   .count = 2,
                                   .kind  = apart == 1 ? RL_STATE_NEIGHBOURS : RL_STATE_SPLIT});
      }
    }
    if (at[h] >= 0 && at[h + 1] >= 0 && at[h + 2] >= 0) {
      state_add(r, (RlReedState){.note  = {(uint8_t)at[h], (uint8_t)at[h + 1], (uint8_t)at[h + 2]},
                                 .count = 3,
                                 .kind  = RL_STATE_THREE});
    }
  }
}

/* How far a lag is from whole periods of all notes of a state, in periods. */
static float
unevenness(const RlReeds *const r, const RlReedState *const s, const float lag)
{
  float worst = 0;
  for (int i = 1; i < s->count; ++i) {
    const float periods = lag / r->note[s->note[i]].lag;
    worst               = fmaxf(worst, fabsf(periods - roundf(periods)));
  }
  return worst;
}

static float
common_lag(const RlReeds *const r, const RlReedState *const s)
{
  float common = 0, best = 0.03F;
  for (int periods = 1; s->count > 1 && periods <= 8; ++periods) {
    const float lag = (float)periods * r->note[s->note[0]].lag;
    if (lag > (float)(r->lags - 4)) {
      break;
    }
    const float uneven = unevenness(r, s, lag);
    if (uneven < best || (uneven < 0.09F && common == 0)) {
      common = lag;
      best   = fminf(best, uneven);
    }
  }
  return common;
}

static uint64_t
explained(const RlReeds *const r, const RlReedState *const s)
{
  uint64_t mask = 0;
  for (int k = 0; k < r->notes; ++k) {
    for (int i = 0; i < s->count; ++i) {
      const float ratio = fmaxf(1, fminf(8, roundf(r->note[k].hz / r->note[s->note[i]].hz)));
      if (fabsf(r->note[k].hz - ratio * r->note[s->note[i]].hz) < on_a_partial) {
        mask |= UINT64_C(1) << k;
      }
    }
  }
  return mask;
}

static float
longest_lag(const RlReeds *const r)
{
  float longest = 0;
  for (int s = 0; s < r->states; ++s) {
    float sum = 0;
    for (int i = 0; i < r->state[s].count; ++i) {
      sum += r->note[r->state[s].note[i]].lag;
    }
    longest = fmaxf(longest, r->state[s].count == 1 ? 2.1F * sum : sum);
  }
  return longest;
}

void
rl_reeds_init(RlReeds *const r, const RlHarp *const harp, const RlPlayer player, const float rate)
{
  memset(r, 0, sizeof(*r));
  for (int h = 0; h < RL_HOLES; ++h) {
    for (int t = 0; t < RL_TECHNIQUES; ++t) {
      if (harp->note[h][t] && rl_player_can(player, (RlTechnique)t) && r->notes < RL_REED_NOTES) {
        note_add(r, h + 1, (RlTechnique)t, harp->note[h][t], rate);
      }
    }
  }
  lines_add(r, rate);
  reeds_find(r);
  for (int k = 0; k < r->notes; ++k) {
    if (r->note[k].same == k) {
      state_add(r, (RlReedState){.note  = {(uint8_t)k},
                                 .count = 1,
                                 .kind  = r->note[k].technique > RL_DRAW ? RL_STATE_BENT
                                                                         : RL_STATE_NATURAL});
    }
  }
  r->pitches = r->states;
  together_add(r, RL_BLOW);
  together_add(r, RL_DRAW);
  const int lags = (int)longest_lag(r) + 12;
  r->lags        = ((lags > RL_REED_LAGS - 16 ? RL_REED_LAGS - 16 : lags) + 15) & ~15;
  for (int s = 0; s < r->states; ++s) {
    RlReedState *const state = &r->state[s];
    for (int i = 0; i < state->count; ++i) {
      state->own |= UINT64_C(1) << state->note[i];
    }
    state->explained = explained(r, state);
    state->common    = common_lag(r, state);
  }
}
