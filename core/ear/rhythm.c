/* SPDX-License-Identifier: ISC */
#include "core/ear/rhythm.h"

#include "core/ear/four.h"
#include "core/ear/learned.h"

#include <math.h>
#include <string.h>

enum { FOURS = RL_EAR_FEELS / 4 };

static const double onset_power  = 0.25;
static const double onset_missed = 0.4;   /* a hit that does not come is forgiven */
static const float  feel_change  = 0.01F; /* a beat */
static const double grid_tempo   = 0.08;  /* of a beat: tempi that a grid says something of */

static int
row_cells(const double period)
{
  return ((int)ceil(period) + 4) & ~3;
}

static int
cells_for(const double *const period, const int tempi)
{
  int cells = 0;
  for (int i = 0; i < tempi; ++i) {
    cells += row_cells(period[i]);
  }
  return cells + 4;
}

size_t
rl_rhythm_bytes(const int seats, const double *const period, const int tempi)
{
  return (size_t)seats * (size_t)cells_for(period, tempi) * (RL_EAR_FEELS + 1) * sizeof(float);
}

static void
letters_read(RlRhythm *const r)
{
  for (int letter = '0'; letter <= 'z'; ++letter) {
    const double ratio = exp(0.1 * rl_learned_tenths((char)letter));
    r->worth[letter]   = (float)pow(onset_missed + (1 - onset_missed) * ratio, onset_power);
  }
}

static void
phases_lay(RlRhythm *const r, const int tempo)
{
  const double hop = 0.5 * RL_EAR_PHASES / r->period[tempo];
  for (int k = 0; k < RL_EAR_CELLS_MAX; ++k) {
    const int first    = (int)fmin(2 * k * hop, RL_EAR_PHASES - 1);
    const int second   = (int)fmin((2 * k + 1) * hop, RL_EAR_PHASES - 1);
    r->phase[tempo][k] = (uint8_t)(2 * first + (second > first));
  }
}

void
rl_rhythm_init(RlRhythm *const r, void *const memory, const RlScore *const score,
               const double *const period, const int tempi)
{
  memset(r, 0, sizeof(*r));
  r->score  = score;
  r->period = period;
  r->tempi  = tempi;
  r->cells  = cells_for(period, tempi);
  r->feel   = memory;
  r->weight = r->feel + (size_t)score->seats * (size_t)r->cells * RL_EAR_FEELS;
  for (int i = 0, at = 0; i < tempi; ++i) {
    r->offset[i] = at;
    at += row_cells(period[i]);
    phases_lay(r, i);
  }
  letters_read(r);
  rl_rhythm_forget(r);
}

void
rl_rhythm_forget(RlRhythm *const r)
{
  const size_t cells = (size_t)r->score->seats * (size_t)r->cells;
  for (size_t k = 0; k < cells * RL_EAR_FEELS; ++k) {
    r->feel[k] = 1.0F / RL_EAR_FEELS;
  }
  for (size_t k = 0; k < cells; ++k) {
    r->weight[k] = 1;
  }
}

static float *
feels_at(const RlRhythm *const r, const int seat, const int tempo)
{
  return r->feel + ((size_t)seat * (size_t)r->cells + (size_t)r->offset[tempo]) * RL_EAR_FEELS;
}

static void
onsets_read(RlRhythm *const r, const uint8_t symbol[2])
{
  for (int a = 0; a < RL_BEAT_KINDS; ++a) {
    for (int p = 0; p < 2 * RL_EAR_PHASES; ++p) {
      const int first = p / 2, next = first + p % 2;
      const int second = next < RL_EAR_PHASES ? next : first;
      for (int f = 0; f < RL_EAR_FEELS; ++f) {
        r->onset[a][p][f] = r->worth[(int)rl_learned_onsets[f][a][first][symbol[0]]] *
                            r->worth[(int)rl_learned_onsets[f][a][second][symbol[1]]];
      }
    }
  }
}

/* What comes over the beat line into a row: the seat before, a cell before its real end, at this
   tempo and the two next to it. */
static void
inflow_mix(const RlRhythm *const r, const int seat, const int tempo, float into[RL_EAR_FEELS])
{
  static const float by[3]             = {0.15F, 0.7F, 0.15F};
  float              sum[RL_EAR_FEELS] = {0};
  for (int d = -1; d <= 1; ++d) {
    const int          j    = tempo + d < 0 ? 0 : tempo + d >= r->tempi ? r->tempi - 1 : tempo + d;
    const double       last = r->period[j] - 1;
    const int          cell = (int)last;
    const float        part = (float)(last - cell);
    const float *const row  = feels_at(r, r->score->seat[seat].before, j) + cell * RL_EAR_FEELS;
    for (int f = 0; f < RL_EAR_FEELS; ++f) {
      sum[f] += by[d + 1] * ((1 - part) * row[f] + part * row[RL_EAR_FEELS + f]);
    }
  }
  for (int f = 0; f < RL_EAR_FEELS; ++f) {
    into[f] = (1 - feel_change) * sum[f] + feel_change / RL_EAR_FEELS;
  }
}

/* A row one cell on, from the top down: feels weighed by what they expect now. */
static void
row_move(RlRhythm *const r, const int seat, const int tempo, const float inflow[RL_EAR_FEELS])
{
  const int    kind = r->score->seat[seat].kind, length = (int)ceil(r->period[tempo]);
  float *const row    = feels_at(r, seat, tempo);
  float *const weight = r->weight + (size_t)seat * (size_t)r->cells + r->offset[tempo];
  for (int k = length - 1; k >= 0; --k) {
    const float *const from = k ? row + (k - 1) * RL_EAR_FEELS : inflow;
    const float *const by   = r->onset[kind][r->phase[tempo][k]];
    RlFour             now[FOURS], sum = {0};
    for (int q = 0; q < FOURS; ++q) {
      now[q] = rl_four_at(from + 4 * q) * rl_four_at(by + 4 * q);
      sum += now[q];
    }
    const float all = rl_four_halves(sum), share = 1 / all;
    weight[k] = all;
    for (int q = 0; q < FOURS; ++q) {
      rl_four_put(row + k * RL_EAR_FEELS + 4 * q, now[q] * share);
    }
  }
}

void
rl_rhythm_step(RlRhythm *const r, const uint8_t symbol[2], const int first, const int last)
{
  float inflow[RL_SCORE_SEATS_MAX][RL_EAR_TEMPI_MAX][RL_EAR_FEELS];
  onsets_read(r, symbol);
  for (int s = 0; s < r->score->seats; ++s) {
    for (int i = first; i <= last; ++i) {
      inflow_mix(r, s, i, inflow[s][i]);
    }
  }
  for (int s = 0; s < r->score->seats; ++s) {
    for (int i = first; i <= last; ++i) {
      row_move(r, s, i, inflow[s][i]);
    }
  }
}

void
rl_rhythm_prefer(RlRhythm *const r, const RlGrid grid, const int first, const int last)
{
  for (int i = first; i <= last && grid.off < 1; ++i) {
    const bool near   = fabs(r->period[i] / grid.period - 1) < grid_tempo;
    const int  length = near ? (int)ceil(r->period[i]) : 0;
    for (int k = 0; k < length; ++k) {
      const double off  = (k + 0.5) / r->period[i] - grid.phase + 1.5;
      const bool   away = fabs(off - floor(off) - 0.5) > 0.25;
      for (int s = 0; s < r->score->seats && away; ++s) {
        r->weight[(size_t)s * (size_t)r->cells + (size_t)(r->offset[i] + k)] *= grid.off;
      }
    }
  }
}

int
rl_rhythm_feel(const RlRhythm *const r, const int seat, const int tempo, const int cell)
{
  const float *const feel = feels_at(r, seat, tempo) + cell * RL_EAR_FEELS;
  int                best = 0;
  for (int f = 1; f < RL_EAR_FEELS; ++f) {
    best = feel[f] > feel[best] ? f : best;
  }
  return best;
}
