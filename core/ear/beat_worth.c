/* SPDX-License-Identifier: ISC */
#include "core/ear/beat_worth.h"

#include "core/ear/learned.h"

#include <math.h>

enum {
  CHORD_LAG = 15, /* hops that chords are heard late */
  TABLE     = RL_BEAT_KINDS * RL_EAR_PHASES * RL_HEARING_SYMBOLS
};

static const float onset_share = 0.5F; /* of a hop's word: neighbouring hops say the same */
static const float missed      = 0.4F;
static const float pulse_share = 0.2F; /* of the net's word, which knows the same onsets */

static size_t
sums_bytes(const RlPathSearch *const s)
{
  return ((size_t)s->hops + 1) * (size_t)s->score->chords * sizeof(float);
}

size_t
rl_beat_worth_bytes(const RlPathSearch *const s)
{
  return (1 + RL_STANDS) * sums_bytes(s) + (RL_BEAT_WORTH_ANY_FEEL + 1) * TABLE * sizeof(float);
}

RlBeatWorth
rl_beat_worth_in(const RlPathSearch *const s, char *memory)
{
  const size_t size = sums_bytes(s);
  RlBeatWorth  e    = {.s = s};
  e.chord           = (float *)(void *)memory;
  e.bass            = (float *)(void *)(memory += size);
  e.onset           = (float *)(void *)(memory + RL_STANDS * size);
  return e;
}

/* Nepers of each symbol in the learned tables; the last table is of whichever feel it may be. */
static void
onsets_lay(const RlBeatWorth *const e)
{
  for (int k = 0; k < TABLE; ++k) {
    const int y = k % RL_HEARING_SYMBOLS, p = k / RL_HEARING_SYMBOLS;
    float     sum = 0;
    for (int f = 0; f < RL_EAR_FEELS; ++f) {
      const char  letter = rl_learned_onsets[f][p / RL_EAR_PHASES][p % RL_EAR_PHASES][y];
      const float ratio  = missed + (1 - missed) * expf(0.1F * (float)rl_learned_tenths(letter));
      e->onset[f * TABLE + k] = onset_share * logf(ratio);
      sum += ratio / RL_EAR_FEELS;
    }
    e->onset[RL_BEAT_WORTH_ANY_FEEL * TABLE + k] = onset_share * logf(sum);
  }
}

static void
chords_sum(const RlBeatWorth *const e)
{
  const RlScore *const score = e->s->score;
  const size_t         hops  = (size_t)e->s->hops + 1;
  for (int q = 0; q < score->chords; ++q) {
    float *const       sum   = e->chord + (size_t)q * hops;
    const RlScoreChord chord = score->chord[q];
    sum[0]                   = 0;
    for (int t = 0; t < e->s->hops; ++t) {
      const float none = -0.03F; /* N.C.: whatever it is */
      sum[t + 1] =
        sum[t] +
        (chord.type < RL_CHORD_TYPES ? e->s->hop[t].chord[rl_score_class(chord, e->s->key)] : none);
    }
  }
}

static void
bass_sum(const RlBeatWorth *const e)
{
  const RlScore *const score = e->s->score;
  const size_t         hops  = (size_t)e->s->hops + 1;
  for (int k = 0; k < RL_STANDS * score->chords; ++k) {
    float *const       sum   = e->bass + (size_t)k * hops;
    const RlScoreChord chord = score->chord[k / RL_STANDS];
    const float *const table = rl_learned_bass[k % RL_STANDS];
    const float        none  = 0.015F; /* N.C.; as core/ear/chords.c */
    sum[0]                   = 0;
    for (int t = 0; t < e->s->hops; ++t) {
      float nepers = 0;
      for (int i = 0; i < 12; ++i) {
        nepers += 0.5F * table[i] * e->s->hop[t].bass[(chord.bass + i + e->s->key) % 12];
      }
      sum[t + 1] = sum[t] + (chord.type < RL_CHORD_TYPES ? nepers : none);
    }
  }
}

void
rl_beat_worth_take(const RlBeatWorth *const e)
{
  onsets_lay(e);
  chords_sum(e);
  bass_sum(e);
}

static int
hop_within(const RlBeatWorth *const e, const int hop)
{
  return hop < 0 ? 0 : hop < e->s->hops ? hop : e->s->hops;
}

float
rl_beat_worth_chord(const RlBeatWorth *const e, const int chord, const int lean, const int from,
                    const int length)
{
  const float *const sum               = e->chord + (size_t)chord * ((size_t)e->s->hops + 1);
  const int          off[RL_EAR_LEANS] = {0, -length / 2, length / 2};
  const int          heard             = from + CHORD_LAG + off[lean];
  return sum[hop_within(e, heard + length)] - sum[hop_within(e, heard)];
}

float
rl_beat_worth_bass(const RlBeatWorth *const e, const int chord, const int stand, const int from,
                   const int length)
{
  const size_t       row = (size_t)chord * RL_STANDS + (size_t)stand;
  const float *const sum = e->bass + row * ((size_t)e->s->hops + 1);
  return sum[from + length] - sum[from];
}

float
rl_beat_worth_onsets(const RlBeatWorth *const e, const int feel, const int kind, const int from,
                     const int length)
{
  const float *const table =
    e->onset + (feel * RL_BEAT_KINDS + kind) * RL_EAR_PHASES * RL_HEARING_SYMBOLS;
  float sum = 0;
  for (int k = 0; k < length; ++k) {
    sum += table[RL_EAR_PHASES * k / length * RL_HEARING_SYMBOLS + e->s->hop[from + k].symbol];
  }
  return sum;
}

float
rl_beat_worth_pulse(const RlBeatWorth *const e, const int from, const int length)
{
  const int half = from + length / 2;
  return pulse_share *
         (e->s->hop[from].pulse[RL_PULSE_BEAT] + e->s->hop[half].pulse[RL_PULSE_HALF]);
}
