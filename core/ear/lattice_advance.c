/* SPDX-License-Identifier: ISC */
/* The inner loops of the lattice. */
#include "core/ear/lattice_inside.h"
#include "core/ear/learned.h"

#include <string.h>

static const float asleep    = 2e-9F;
static const int   chord_lag = 11; /* cells of a beat in which the chord before is still heard */

/* What a row gives back. */
typedef struct {
  float before[2], after[2]; /* weight before and after onsets: under the old chord, the new */
  float most;                /* of its cells */
} Row;

static float
four_sum(const RlFour v)
{
  return v[0] + v[1] + v[2] + v[3];
}

/* Cells `from` to `to` (not incl.), one at a time, from the top down. */
static void
cells_move(float *const row, const float *const weight, const float inflow, const int from,
           const int to, const float chord, Row *const out, const int part)
{
  for (int k = to - 1; k >= from; --k) {
    const float moved   = k ? row[k - 1] : inflow;
    const float weighed = moved * weight[k];
    out->before[part] += moved;
    out->after[part] += weighed;
    row[k]    = weighed * chord;
    out->most = row[k] > out->most ? row[k] : out->most;
  }
}

static RlFour
four_most(const RlFour a, const RlFour b)
{
  RlFour out;
  for (int w = 0; w < 4; ++w) {
    out[w] = a[w] > b[w] ? a[w] : b[w];
  }
  return out;
}

/* A row one cell on, weighed by the onsets and by the chords: the one before for the first cells.
 */
static Row
row_move(float *const row, const float *const weight, const float inflow, const int length,
         const float old_chord, const float new_chord)
{
  Row          out    = {{0}, {0}, 0};
  const int    lag    = chord_lag < length ? chord_lag : length;
  const int    whole  = lag + (length - lag) / 4 * 4;
  const RlFour chord  = {new_chord, new_chord, new_chord, new_chord};
  RlFour       before = {0}, after = {0}, most = {0};
  cells_move(row, weight, inflow, whole, length, new_chord, &out, 1);
  for (int k = whole - 4; k >= lag; k -= 4) {
    const RlFour moved   = *(const RlFour *)(const void *)(row + k - 1);
    const RlFour weighed = moved * *(const RlFour *)(const void *)(weight + k);
    const RlFour now     = weighed * chord;
    before += moved;
    after += weighed;
    *(RlFour *)(void *)(row + k) = now;
    most                         = four_most(most, now);
  }
  out.before[1] += four_sum(before);
  out.after[1] += four_sum(after);
  for (int w = 0; w < 4; ++w) {
    out.most = most[w] > out.most ? most[w] : out.most;
  }
  cells_move(row, weight, inflow, 0, lag, old_chord, &out, 0);
  return out;
}

/* The weights of a feel's and tempo's cells, made when the first of its rows is awake. */
static const float *
weights_of(RlLattice *const l, const int feel, const int tempo, const int kind)
{
  if (l->made[feel][tempo] != l->step) {
    l->made[feel][tempo] = l->step;
    for (int a = 0; a < RL_BEAT_KINDS; ++a) {
      float *const       to   = l->weight[feel][tempo][a];
      const float *const one  = l->onset[0][feel][a];
      const float *const two  = l->onset[1][feel][a];
      const float        stay = l->cost[tempo] / l->sum; /* so that the new sum is near 1 */
      for (int k = 0; k < l->longest[tempo]; ++k) {
        to[k] = one[l->phase[0][tempo][k]] * two[l->phase[1][tempo][k]] * stay;
      }
    }
  }
  return l->weight[feel][tempo][kind];
}

typedef struct {
  double before, chords, sum; /* without, with the chords, with all */
  float  best;                /* the greatest density of a cell */
  int    feel, beat, tempo, cells;
} Sweep;

static void
group_move(RlLattice *const l, const int feel, const int beat, const RlEvidence *const e,
           Sweep *const sweep)
{
  const int                group = rl_lattice_group(l, feel, beat);
  const RlRange            awake = l->range[group], into = l->reached[group];
  const int                first     = awake.first < into.first ? awake.first : into.first;
  const int                last      = awake.last > into.last ? awake.last : into.last;
  const RlScoreBeat *const now       = &l->score->beat[beat];
  const RlScoreBeat *const before    = &l->score->beat[beat ? beat - 1 : l->beats - 1];
  const float              old_chord = e->chord[before->chord], new_chord = e->chord[now->chord];
  RlRange                  left = {(int16_t)l->tempi, -1};
  for (int i = first; i <= last; ++i) {
    uint8_t *const up               = &l->awake[group * l->tempi + i];
    const float    inflow           = l->inflow[group * l->tempi + i];
    const int      length           = l->length[i * l->beats + beat];
    float *const   row              = rl_lattice_row(l, feel, i, beat);
    l->inflow[group * l->tempi + i] = 0;
    if (!*up && inflow < 2 * asleep * l->sum) {
      continue;
    }
    if (!*up) {
      memset(row, 0, (size_t)length * sizeof(float));
    }
    const Row r =
      row_move(row, weights_of(l, feel, i, now->kind), inflow, length, old_chord, new_chord);
    const float sum = r.after[0] * old_chord + r.after[1] * new_chord;
    sweep->chords += (double)(r.before[0] * old_chord + r.before[1] * new_chord);
    sweep->before += (double)(r.before[0] + r.before[1]);
    sweep->cells += length;
    *up = sum > asleep;
    if (!*up) {
      continue;
    }
    sweep->sum += (double)sum;
    left.first = left.last < 0 ? (int16_t)i : left.first;
    left.last  = (int16_t)i;
    if (r.most * (float)length > sweep->best) {
      sweep->best  = r.most * (float)length;
      sweep->feel  = feel;
      sweep->beat  = beat;
      sweep->tempo = i;
    }
  }
  l->range[group] = left;
}

static void
best_find(RlLattice *const l, const Sweep *const sweep)
{
  const float *const row    = rl_lattice_row(l, sweep->feel, sweep->tempo, sweep->beat);
  const int          length = l->length[sweep->tempo * l->beats + sweep->beat];
  int                cell   = 0;
  for (int k = 1; k < length; ++k) {
    cell = row[k] > row[cell] ? k : cell;
  }
  l->best = (RlPointer){sweep->beat + (cell + 0.5) / length, l->period[sweep->tempo], sweep->feel};
}

/* Keeps the sum near 1. */
static void
range_mend(RlLattice *const l)
{
  const float by = 1 / l->sum;
  if (l->sum > 1e-15F && l->sum < 1e15F) {
    return;
  }
  for (int k = 0; k < l->cells * RL_EAR_FEELS; ++k) {
    l->p[k] *= by;
  }
  l->sum = 1;
}

void
rl_lattice_advance(RlLattice *const l, const RlEvidence *const e)
{
  Sweep sweep = {0};
  for (int hop = 0; hop < 2; ++hop) {
    for (int f = 0; f < RL_EAR_FEELS; ++f) {
      for (int a = 0; a < RL_BEAT_KINDS; ++a) {
        for (int k = 0; k < RL_EAR_PHASES; ++k) {
          l->onset[hop][f][a][k] = l->worth[(int)rl_learned_onsets[f][a][k][e->symbol[hop]]];
        }
      }
    }
  }
  for (int f = 0; f < RL_EAR_FEELS; ++f) {
    for (int b = 0; b < l->beats; ++b) {
      group_move(l, f, b, e, &sweep);
    }
  }
  if (!(sweep.sum > 0)) { /* all asleep: anywhere again */
    rl_lattice_spread(l, NULL);
    return;
  }
  l->gain    = sweep.chords / sweep.before;
  l->weighed = sweep.cells;
  l->sum     = (float)sweep.sum;
  best_find(l, &sweep);
  range_mend(l);
}
