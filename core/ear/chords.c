/* SPDX-License-Identifier: ISC */
#include "core/ear/chords.h"

#include "core/ear/learned.h"

#include <math.h>
#include <string.h>

static const float clip        = 4; /* nepers a look that a foreign chord may cost */
static const float look        = 3.0F / RL_EAR_STEPS; /* looks a step */
static const float smooth      = 0.12F; /* a look; as tests/ear/follow/learn_chords.py */
static const float bass_any    = 0.03F; /* nepers a step, of N.C. */
static const float free_change = 0.01F; /* a step */
static const float known       = 0.95F; /* of free chords that are the form's own */
static const float change_at[] = {1e-4F, 0.01F, 0.05F, 0.25F}; /* by RlChangeHere */

static const float run_tempo[RL_KEY_TEMPI] = {62, 88, 125, 176}; /* felt beats a minute */
static const float run_jump                = 1e-5F;              /* a step */
static const float key_least               = 1e-5F;

static void
common_take(RlChords *const c)
{
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    c->common[k] = (1 - known) / RL_CHORD_CLASSES;
  }
  for (int b = 0; b < c->score->beats; ++b) {
    const RlScoreChord chord = c->score->chord[c->score->beat[b].chord];
    for (int key = 0; key < RL_KEYS && chord.type < RL_CHORD_TYPES; ++key) {
      c->common[rl_score_class(chord, key)] += known * c->key[key] / (float)c->score->beats;
    }
  }
}

static void
runs_find(RlChords *const c)
{
  for (int b = 0; b < c->score->beats; ++b) {
    const uint8_t chord = c->score->beat[b].chord;
    if (!c->runs || c->run_chord[c->runs - 1] != chord) {
      c->run_chord[c->runs++] = chord;
    }
    c->run_beats[c->runs - 1] += 1;
  }
}

void
rl_chords_init(RlChords *const c, const RlScore *const score, const int key)
{
  memset(c, 0, sizeof(*c));
  c->score     = score;
  c->key_given = key >= 0;
  c->free_gain = c->barred_gain = 1;
  for (int k = 0; k < RL_KEYS; ++k) {
    c->key[k] = key < 0 ? 1.0F / RL_KEYS : k == key ? 1 : 0;
  }
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    c->likely[k] = 1;
    c->free[k] = c->barred[k] = 1.0F / RL_CHORD_CLASSES;
  }
  for (int q = 0; q < score->chords; ++q) {
    c->chord[q] = 1;
    for (int s = 0; s < RL_STANDS; ++s) {
      c->bass[s * RL_SCORE_CHORDS_MAX + q] = 1;
    }
  }
  runs_find(c);
  for (int k = 0; k < RL_KEYS; ++k) {
    for (int t = 0; t < RL_KEY_TEMPI; ++t) {
      for (int r = 0; r < c->runs; ++r) {
        c->run[k][t][r] = c->key[k] * c->run_beats[r] / (float)(score->beats * RL_KEY_TEMPI);
      }
    }
  }
  common_take(c);
}

/* ---- what is heard ---- */

/* Chroma, bass, and both smoothed, from a root up. */
static void
inputs_turn(const RlChords *const c, const RlHeard *const heard, const int root,
            float inputs[RL_CHORD_INPUTS])
{
  for (int i = 0; i < 12; ++i) {
    const int tone = (i + root) % 12;
    inputs[i]      = heard->chroma[tone];
    inputs[12 + i] = heard->bass[tone];
    inputs[24 + i] = c->slow[tone];
    inputs[36 + i] = c->slow[12 + tone];
  }
}

static float
dot(const float *const a, const float *const b, const int count)
{
  float s[4] = {0};
  for (int i = 0; i < count; i += 4) {
    for (int w = 0; w < 4; ++w) {
      s[w] += a[i + w] * b[i + w];
    }
  }
  return s[0] + s[1] + s[2] + s[3];
}

static void
root_look(RlChords *const c, const RlHeard *const heard, const int root)
{
  const RlLearnedChords *const net = &rl_learned_chords;
  float                        inputs[RL_CHORD_INPUTS], hidden[RL_CHORD_HIDDEN];
  inputs_turn(c, heard, root, inputs);
  for (int h = 0; h < RL_CHORD_HIDDEN; ++h) {
    const float sum = dot(net->inner[h], inputs, RL_CHORD_INPUTS) + net->inner_plus[h];
    hidden[h]       = sum > 0 ? sum : 0;
  }
  for (int t = 0; t < RL_CHORD_TYPES; ++t) {
    c->nepers[t * 12 + root] = dot(net->outer[t], hidden, RL_CHORD_HIDDEN) + net->outer_plus[t];
  }
}

static void
chords_look(RlChords *const c, const RlHeard *const heard)
{
  float most = -1e9F, sum = 0;
  for (int i = 0; i < 12; ++i) {
    c->slow[i] += smooth * (heard->chroma[i] - c->slow[i]);
    c->slow[12 + i] += smooth * (heard->bass[i] - c->slow[12 + i]);
  }
  for (int root = 0; root < 12; ++root) {
    root_look(c, heard, root);
  }
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    most = c->nepers[k] > most ? c->nepers[k] : most;
  }
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    sum += expf(c->nepers[k] - most);
  }
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    const float nepers = c->nepers[k] - most - logf(sum);
    c->worth[k]        = expf(look * (nepers > -clip ? nepers : -clip));
  }
}

/* ---- key ---- */

/* The runs of one key at one tempo, a step of `steps` looks on; returns their sum. */
static float
runs_step(RlChords *const c, const int key, const int tempo, const float jump)
{
  float *const run    = c->run[key][tempo];
  const float  hazard = run_tempo[tempo] / 60 / RL_EAR_STEPS * 2;
  float        in     = run[c->runs - 1] * fminf(hazard / c->run_beats[c->runs - 1], 1);
  float        sum    = 0;
  for (int r = 0; r < c->runs; ++r) {
    const float out       = run[r] * fminf(hazard / c->run_beats[r], 1);
    const float worth_now = c->chord[c->run_chord[r]];
    run[r]                = (run[r] - out + in + jump * c->run_beats[r]) * worth_now;
    in                    = out;
    sum += run[r];
  }
  return sum;
}

static void
chords_weigh(RlChords *const c, const int key)
{
  for (int q = 0; q < c->score->chords; ++q) {
    const RlScoreChord chord = c->score->chord[q];
    c->chord[q] =
      chord.type < RL_CHORD_TYPES ? c->worth[rl_score_class(chord, key)] : (float)c->free_gain;
  }
}

/* Every other step: each key's runs are weighed, and with them the keys. */
static void
keys_step(RlChords *const c)
{
  float sum[RL_KEYS], all = 0;
  for (int k = 0; k < RL_KEYS; ++k) {
    sum[k] = 0;
    chords_weigh(c, k);
    for (int t = 0; t < RL_KEY_TEMPI; ++t) {
      const float jump = run_jump * c->key[k] / (float)(c->score->beats * RL_KEY_TEMPI);
      sum[k] += runs_step(c, k, t, jump);
    }
    all += sum[k];
  }
  for (int k = 0; k < RL_KEYS; ++k) {
    const float share = sum[k] / all, kept = share > key_least ? share : key_least;
    for (int t = 0; t < RL_KEY_TEMPI; ++t) {
      for (int r = 0; r < c->runs; ++r) {
        c->run[k][t][r] *= kept / (sum[k] + 1e-30F);
      }
    }
    c->key[k] = kept;
  }
}

/* ---- a step ---- */

static void
chords_mix(RlChords *const c, const bool loud)
{
  for (int q = 0; q < c->score->chords; ++q) {
    const RlScoreChord chord = c->score->chord[q];
    float              sum   = 0;
    for (int k = 0; k < RL_KEYS && chord.type < RL_CHORD_TYPES; ++k) {
      sum += c->key[k] > 1e-3F ? c->key[k] * c->worth[rl_score_class(chord, k)] : 0;
    }
    c->chord[q] = chord.type == RL_CHORD_TYPES ? (float)c->barred_gain : loud ? sum : 1;
  }
}

/* What the bass says of each chord of the score: chords may come ahead of the beat or after it, the
   bass is on it as a rule, and where a chord begins it plays the root more often than later on. */
static void
bass_weigh(RlChords *const c, const RlHeard *const heard)
{
  float turned[12] = {0}; /* from the tonic up, over the keys */
  for (int k = 0; k < RL_KEYS; ++k) {
    for (int i = 0; i < 12 && c->key[k] > 1e-3F; ++i) {
      turned[i] += c->key[k] * heard->bass[(i + k) % 12];
    }
  }
  for (int q = 0; q < c->score->chords; ++q) {
    const RlScoreChord chord = c->score->chord[q];
    for (int s = 0; s < RL_STANDS; ++s) {
      float nepers = chord.type < RL_CHORD_TYPES ? 0 : bass_any;
      for (int i = 0; i < 12 && chord.type < RL_CHORD_TYPES; ++i) {
        nepers += rl_learned_bass[s][i] * turned[(chord.bass + i) % 12];
      }
      c->bass[s * RL_SCORE_CHORDS_MAX + q] = heard->loud ? expf(nepers) : 1;
    }
  }
}

static double
free_step(float state[RL_CHORD_CLASSES], const float likely[RL_CHORD_CLASSES], const float change,
          const float *const to)
{
  float sum = 0;
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    const float from = to ? to[k] : 1.0F / RL_CHORD_CLASSES;
    state[k]         = (state[k] * (1 - change) + change * from) * likely[k];
    sum += state[k];
  }
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    state[k] /= sum;
  }
  return (double)sum;
}

void
rl_chords_step(RlChords *const c, const RlHeard *const heard, const RlChangeHere here)
{
  if (heard->fresh) {
    chords_look(c, heard);
    for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
      c->likely[k] = heard->loud ? c->worth[k] : 1;
    }
    if (!c->key_given && heard->loud) {
      keys_step(c);
      common_take(c);
    }
  }
  c->free_gain   = free_step(c->free, c->likely, free_change, NULL);
  c->barred_gain = free_step(c->barred, c->likely, change_at[here], c->common);
  if (heard->fresh) {
    chords_mix(c, heard->loud);
    bass_weigh(c, heard);
  }
}

int
rl_chords_key(const RlChords *const c)
{
  int best = 0;
  for (int k = 1; k < RL_KEYS; ++k) {
    best = c->key[k] > c->key[best] ? k : best;
  }
  return best;
}
