/* SPDX-License-Identifier: ISC */
/* The inner loops of the lattice. */
#include "core/ear/lattice_inside.h"
#include "core/ear/learned.h"

#include <string.h>

static const float asleep = 2e-9F;
static const int   chord_lag =
  12; /* cells in which the chord before is still heard; a multiple of four */

typedef struct {
  int feel, beat, tempo, length;
} RowName;

/* What the rows of a step sum up to. */
typedef struct {
  RlFour  before, chords; /* weight before, without and with the chords */
  double  sum;            /* and after all */
  float   heaviest, best; /* of rows, and the greatest density of a cell */
  RowName name;           /* of its row */
  int     cells;
} Sweep;

static float
four_sum(const RlFour v)
{
  const RlFour half = v + (RlFour){v[2], v[3], v[0], v[1]};
  return half[0] + half[1];
}

static float
cells_most(const float *const row, const int length)
{
  float most = 0;
  for (int k = 0; k < length; ++k) {
    most = row[k] > most ? row[k] : most;
  }
  return most;
}

/* A row one cell on, weighed by the onsets and by the chords (of the first cells, and of the
   others), from the top down. What flows in stands before the row, and goes with it; what leaves
   its last cell for the padding behind it is taken away again. */
static float
row_move(float *const row, const float *const weight, const float inflow, const int length,
         const float chord[2], Sweep *const sweep)
{
  const int   ends[3] = {0, chord_lag, (length + 4) & ~3};
  const float left    = row[length - 1];
  RlFour      before = sweep->before, chords = sweep->chords, sum = {0};
  row[-1] = inflow;
  for (int part = 1; part >= 0; --part) {
    const RlFour by = {chord[part], chord[part], chord[part], chord[part]};
    for (int k = ends[part + 1] - 4; k >= ends[part]; k -= 4) {
      const RlFour moved           = *(const RlFour *)(const void *)(row + k - 1);
      const RlFour likely          = moved * by;
      const RlFour now             = likely * *(const RlFour *)(const void *)(weight + k);
      *(RlFour *)(void *)(row + k) = now;
      before += moved;
      chords += likely;
      sum += now;
    }
  }
  sweep->before    = before - (RlFour){left, 0, 0, 0};
  sweep->chords    = chords - (RlFour){left * chord[1], 0, 0, 0};
  const float over = row[length];
  row[-1]          = 0;
  row[length]      = 0;
  return four_sum(sum) - over;
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

/* Is its densest cell the best? Only asked of the heaviest rows. */
static void
best_offer(Sweep *const sweep, const float *const row, const float sum, const RowName name)
{
  sweep->heaviest = sum > sweep->heaviest ? sum : sweep->heaviest;
  if (sum > 0.5F * sweep->heaviest) {
    const float density = cells_most(row, name.length) * (float)name.length;
    if (density > sweep->best) {
      sweep->best = density;
      sweep->name = name;
    }
  }
}

static void
group_move(RlLattice *const l, const int feel, const int beat, const RlEvidence *const e,
           Sweep *const sweep)
{
  const int                group = rl_lattice_group(l, feel, beat);
  const RlRange            awake = l->range[group], into = l->reached[group];
  const int                first    = awake.first < into.first ? awake.first : into.first;
  const int                last     = awake.last > into.last ? awake.last : into.last;
  const RlScoreBeat *const now      = &l->score->beat[beat];
  const RlScoreBeat *const before   = &l->score->beat[beat ? beat - 1 : l->beats - 1];
  const float              chord[2] = {e->chord[before->chord], e->chord[now->chord]};
  RlRange                  left     = {(int16_t)l->tempi, -1};
  for (int i = first; i <= last; ++i) {
    uint8_t *const up              = &l->awake[group * l->tempi + i];
    const float    inflow          = rl_lattice_inflow(l, group)[i];
    const int      length          = l->length[i * l->beats + beat];
    float *const   row             = rl_lattice_row(l, feel, i, beat);
    rl_lattice_inflow(l, group)[i] = 0;
    if (!*up && inflow < 2 * asleep * l->sum) {
      continue;
    }
    if (!*up) {
      memset(row, 0, (size_t)(length + 1) * sizeof(float));
    }
    const float sum =
      row_move(row, weights_of(l, feel, i, now->kind), inflow, length, chord, sweep);
    sweep->cells += length;
    *up = sum > asleep;
    if (!*up) {
      continue;
    }
    sweep->sum += (double)sum;
    left.first = left.last < 0 ? (int16_t)i : left.first;
    left.last  = (int16_t)i;
    best_offer(sweep, row, sum, (RowName){feel, beat, i, length});
  }
  l->range[group] = left;
}

static void
best_find(RlLattice *const l, const Sweep *const sweep)
{
  const float *const row = rl_lattice_row(l, sweep->name.feel, sweep->name.tempo, sweep->name.beat);
  const int          length = sweep->name.length;
  int                cell   = 0;
  for (int k = 1; k < length; ++k) {
    cell = row[k] > row[cell] ? k : cell;
  }
  l->best = (RlPointer){sweep->name.beat + (cell + 0.5) / length, l->period[sweep->name.tempo],
                        sweep->name.feel};
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
  l->gain    = (double)(four_sum(sweep.chords) / four_sum(sweep.before));
  l->weighed = sweep.cells;
  l->sum     = (float)sweep.sum;
  best_find(l, &sweep);
  range_mend(l);
}
