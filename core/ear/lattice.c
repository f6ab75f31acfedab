/* SPDX-License-Identifier: ISC */
#include "core/ear/lattice_inside.h"

#include <math.h>
#include <string.h>

enum {
  ROWS_MAX = 26000, /* beats times tempi, for memory's sake: longer forms take wider tempo steps */
  START_TAIL = 16   /* beats at the form's end from which it often starts: a lead-in */
};

static const double   fastest = 220, slowest = 50; /* felt beats a minute */
static const double   tempo_mean = 95, tempo_octaves = 0.8, tempo_cost = 0.5; /* a second */
static const double   expected_octaves = 0.1, expected_cost = 20;
static const double   turning = 100; /* a change of tempo by 1 % at a beat line costs 1 neper */
static const float    start_likelier            = 3;
static const float    lean_likely[RL_EAR_LEANS] = {0.7F, 0.15F, 0.15F};
static const float    alike_likelier            = 15; /* of rivals: the chords lie where they do */
static const double   chords_late               = 0.15; /* seconds that a change is heard late */
static const double   chords_soft               = 0.08; /* seconds that it takes */
static const float    asleep_searching = 2e-10F, asleep_settled = 2e-8F; /* of all the weight */
static const double   near_tempo = 0.08; /* of a beat: jumps from a settled place lead so far */
static const uint32_t jump_steps = 2 * RL_EAR_STEPS, far_jumps = 4; /* every so many jumps do not */

static int
tempi_for(const int beats)
{
  const int room = ROWS_MAX / beats;
  return room < RL_EAR_TEMPI_MAX ? room : RL_EAR_TEMPI_MAX;
}

static double
period_of(const int tempo, const int tempi)
{
  return RL_EAR_STEPS * 60 / fastest * pow(fastest / slowest, (double)tempo / (tempi - 1));
}

static int
periods_lay(double period[RL_EAR_TEMPI_MAX], const int beats)
{
  const int tempi = tempi_for(beats);
  for (int i = 0; i < tempi; ++i) {
    period[i] = period_of(i, tempi);
  }
  return tempi;
}

static int
row_length(const double period, const int beat)
{
  return (int)(lround((beat + 1) * period) - lround(beat * period));
}

static int
cells_for(const int beats)
{
  int cells = 0;
  for (int i = 0; i < tempi_for(beats); ++i) {
    for (int b = 0; b < beats; ++b) {
      cells += (row_length(period_of(i, tempi_for(beats)), b) + 4) & ~3;
    }
  }
  return cells + 8;
}

static size_t
aligned(const size_t bytes)
{
  return (bytes + 63) & ~(size_t)63;
}

/* Lays the arrays out behind `memory`, or only counts their bytes. */
static size_t
arrays_lay(RlLattice *const l, char *const memory, const int beats)
{
  const size_t rows     = (size_t)beats * (size_t)tempi_for(beats);
  const size_t groups   = (size_t)beats * RL_EAR_LEANS;
  const size_t cells    = (size_t)cells_for(beats);
  size_t       at[8]    = {0};
  const size_t bytes[7] = {cells * RL_EAR_LEANS * sizeof(float),
                           (rows + (size_t)beats * RL_LATTICE_REACH) * RL_EAR_LEANS * sizeof(float),
                           rows * sizeof(int32_t),
                           groups * sizeof(RlRange),
                           groups * sizeof(RlRange),
                           rows * RL_EAR_LEANS,
                           rows};
  for (int i = 0; i < 7; ++i) {
    at[i + 1] = at[i] + aligned(bytes[i]);
  }
  if (l) {
    l->cells   = (int)cells;
    l->p       = (float *)(void *)(memory + at[0]);
    l->inflow  = (float *)(void *)(memory + at[1]);
    l->offset  = (int32_t *)(void *)(memory + at[2]);
    l->range   = (RlRange *)(void *)(memory + at[3]);
    l->reached = (RlRange *)(void *)(memory + at[4]);
    l->awake   = (uint8_t *)memory + at[5];
    l->length  = (uint8_t *)memory + at[6];
  }
  return at[7];
}

size_t
rl_lattice_bytes(const RlScore *const score)
{
  double    period[RL_EAR_TEMPI_MAX];
  const int tempi = periods_lay(period, score->beats);
  return arrays_lay(NULL, NULL, score->beats) + rl_rhythm_bytes(score->seats, period, tempi);
}

/* ---- tempi ---- */

static double
turn_weight(const RlLattice *const l, const int from, const int to)
{
  const int off = to - from;
  return off < -RL_LATTICE_SPREAD || off >= RL_LATTICE_REACH - RL_LATTICE_SPREAD
           ? 0
           : exp(-turning * fabs(l->period[to] / l->period[from] - 1));
}

static void
turns_lay(RlLattice *const l, const int tempo)
{
  double sum = 0;
  for (int j = 0; j < l->tempi; ++j) {
    sum += turn_weight(l, tempo, j);
  }
  for (int d = 0; d < RL_LATTICE_REACH; ++d) {
    const int j       = tempo + d - RL_LATTICE_SPREAD;
    l->turn[tempo][d] = j < 0 || j >= l->tempi ? 0 : (float)(turn_weight(l, tempo, j) / sum);
  }
}

static void
rows_lay(RlLattice *const l)
{
  int at = 4; /* what flows into a row stands before it */
  for (int i = 0; i < l->tempi; ++i) {
    for (int b = 0; b < l->beats; ++b) {
      const int length            = row_length(l->period[i], b);
      l->offset[i * l->beats + b] = at;
      l->length[i * l->beats + b] = (uint8_t)length;
      at += (length + 4) & ~3;
    }
  }
}

void
rl_lattice_expect(RlLattice *const l, const double tempo)
{
  const double mean = tempo > 0 ? tempo : tempo_mean;
  const double wide = tempo > 0 ? expected_octaves : tempo_octaves;
  const double rate = tempo > 0 ? expected_cost : tempo_cost;
  double       sum  = 0;
  for (int i = 0; i < l->tempi; ++i) {
    const double off = log2(RL_EAR_STEPS * 60 / l->period[i] / mean) / wide;
    l->prior[i]      = (float)exp(-0.5 * fmin(off * off, 80));
    l->cost[i]       = (float)exp(-0.5 * fmin(off * off, 80) * fmin(rate, 20) / RL_EAR_STEPS);
    sum += (double)l->prior[i];
  }
  for (int i = 0; i < l->tempi; ++i) {
    l->prior[i] = (float)((double)l->prior[i] / sum);
  }
}

/* Of a row's two chords (the one before and its own; or its own and the next), how much the later
   one sounds in each cell. */
static void
later_lay(RlLattice *const l, const int tempo)
{
  for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
    const double at =
      chords_late * RL_EAR_STEPS + (lean == RL_LEAN_ON ? 0 : 0.5 * l->period[tempo]);
    for (int k = 0; k < RL_EAR_CELLS_MAX + 4; ++k) {
      const double share       = 0.5 + (k + 0.5 - at) / (chords_soft * RL_EAR_STEPS);
      l->later[lean][tempo][k] = (float)fmin(fmax(share, 0), 1);
    }
  }
}

void
rl_lattice_init(RlLattice *const l, void *const memory, const RlScore *const score)
{
  memset(l, 0, sizeof(*l));
  l->score           = score;
  l->beats           = score->beats;
  l->tempi           = periods_lay(l->period, l->beats);
  l->rows            = RL_EAR_LEANS * l->beats * l->tempi;
  const size_t bytes = arrays_lay(l, memory, l->beats);
  memset(memory, 0, bytes);
  rl_rhythm_init(&l->rhythm, (char *)memory + bytes, score, l->period, l->tempi);
  for (int i = 0; i < l->tempi; ++i) {
    turns_lay(l, i);
    later_lay(l, i);
  }
  rows_lay(l);
  rl_lattice_expect(l, 0);
  rl_lattice_spread(l, NULL);
}

/* ---- weight laid out ---- */

static void
row_fill(RlLattice *const l, const int lean, const int tempo, const int beat, const float mass)
{
  float *const row    = rl_lattice_row(l, lean, tempo, beat);
  const int    length = l->length[tempo * l->beats + beat];
  for (int k = 0; k < length; ++k) {
    row[k] = mass / (float)length;
  }
}

/* Only on the beats: other leans begin where rivals are offered. */
void
rl_lattice_spread(RlLattice *const l, const float share[RL_EAR_TEMPI_MAX])
{
  float sum = 0;
  memset(l->awake, 0, (size_t)l->rows);
  for (int g = 0; g < RL_EAR_LEANS * l->beats; ++g) {
    l->range[g] = (RlRange){(int16_t)l->tempi, -1};
  }
  for (int b = 0; b < l->beats; ++b) {
    const bool  start  = b < 2 || b >= l->beats - START_TAIL;
    const float likely = (start ? start_likelier : 1) / (float)l->beats;
    const int   group  = rl_lattice_group(l, RL_LEAN_ON, b);
    for (int i = 0; i < l->tempi; ++i) {
      const float mass = likely * (share ? 0.95F * share[i] + 0.05F * l->prior[i] : l->prior[i]);
      row_fill(l, RL_LEAN_ON, i, b, mass);
      sum += mass;
    }
    l->range[group] = (RlRange){0, (int16_t)(l->tempi - 1)};
    memset(l->awake + (size_t)group * (size_t)l->tempi, 1, (size_t)l->tempi);
  }
  memset(l->inflow, 0,
         (size_t)(l->rows + RL_EAR_LEANS * l->beats * RL_LATTICE_REACH) * sizeof(float));
  l->sum = sum;
}

static float
row_sum(const RlLattice *const l, const int lean, const int tempo, const int beat)
{
  const float *const row = rl_lattice_row(l, lean, tempo, beat);
  float              sum = 0;
  for (int k = 0; k < l->length[tempo * l->beats + beat]; ++k) {
    sum += row[k];
  }
  return sum;
}

void
rl_lattice_tempi(const RlLattice *const l, float share[RL_EAR_TEMPI_MAX])
{
  memset(share, 0, RL_EAR_TEMPI_MAX * sizeof(float));
  for (int g = 0; g < RL_EAR_LEANS * l->beats; ++g) {
    for (int i = l->range[g].first; i <= l->range[g].last; ++i) {
      if (l->awake[g * l->tempi + i]) {
        share[i] += row_sum(l, g / l->beats, i, g % l->beats) / l->sum;
      }
    }
  }
}

static void
range_widen(RlRange *const range, const int from, const int to)
{
  range->first = (int16_t)(from < range->first ? from : range->first);
  range->last  = (int16_t)(to > range->last ? to : range->last);
}

static void
row_wake(RlLattice *const l, const int lean, const int tempo, const int beat)
{
  const int      group = rl_lattice_group(l, lean, beat);
  uint8_t *const awake = &l->awake[group * l->tempi + tempo];
  if (!*awake) {
    *awake = 1;
    memset(rl_lattice_row(l, lean, tempo, beat), 0,
           l->length[tempo * l->beats + beat] * sizeof(float));
  }
  range_widen(&l->range[group], tempo, tempo);
}

static int
tempo_nearest(const RlLattice *const l, const double period)
{
  int best = 0;
  for (int i = 1; i < l->tempi; ++i) {
    best = fabs(l->period[i] - period) < fabs(l->period[best] - period) ? i : best;
  }
  return best;
}

/* Adds `mass` about a place, in one lean. */
static void
lean_sow(RlLattice *const l, const RlPointer place, const int lean, const float mass)
{
  static const float bell[5] = {0.1F, 0.23F, 0.34F, 0.23F, 0.1F};
  const int          middle  = tempo_nearest(l, place.period);
  const double       at      = place.at - l->beats * floor(place.at / l->beats);
  const int          beat    = (int)at % l->beats;
  for (int i = middle - 2 < 0 ? 0 : middle - 2; i <= middle + 2 && i < l->tempi; ++i) {
    const int    length = l->length[i * l->beats + beat];
    const int    cell   = (int)((at - floor(at)) * length);
    float *const row    = rl_lattice_row(l, lean, i, beat);
    row_wake(l, lean, i, beat);
    for (int d = -2; d <= 2; ++d) {
      if (cell + d >= 0 && cell + d < length) {
        row[cell + d] += mass * bell[d + 2] / 5;
        l->sum += mass * bell[d + 2] / 5;
      }
    }
  }
}

void
rl_lattice_sow(RlLattice *const l, const RlPointer place, const float mass)
{
  for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
    lean_sow(l, place, lean, mass * lean_likely[lean]);
  }
}

void
rl_lattice_offer(RlLattice *const l, const RlPointer place, const float mass)
{
  static const double lean_beats[RL_EAR_LEANS] = {0, 0.5, -0.5};
  static const double off[]                    = {0, -0.5, 0.5, -1, 1};
  for (size_t k = 0; k < sizeof(off) / sizeof(*off); ++k) {
    for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
      const double chords =
        off[k] + lean_beats[lean] - lean_beats[place.lean]; /* they lie elsewhere */
      RlPointer rival = place;
      rival.at += off[k];
      lean_sow(l, rival, lean, mass * (fabs(chords) < 0.1 ? alike_likelier : 1));
    }
  }
}

/* ---- a step ---- */

/* Over the beat line: from the last cells of `group` into the rows of the next beat. */
static void
group_flow(RlLattice *const l, const int lean, const int beat, const float least)
{
  const int     next  = beat + 1 < l->beats ? beat + 1 : 0;
  const int     group = rl_lattice_group(l, lean, beat), to = rl_lattice_group(l, lean, next);
  float *const  into  = rl_lattice_inflow(l, to);
  const RlRange range = l->range[group];
  int           first = l->tempi, last = -1; /* tempi that flow */
  for (int i = range.first; i <= range.last; ++i) {
    if (!l->awake[group * l->tempi + i]) {
      continue;
    }
    const float out = rl_lattice_row(l, lean, i, beat)[l->length[i * l->beats + beat] - 1];
    if (out <= least) {
      continue;
    }
    float *const       to_row = into + i - RL_LATTICE_SPREAD;
    const float *const turn   = l->turn[i];
    for (int k = 0; k < RL_LATTICE_REACH; k += 4) {
      rl_four_put(to_row + k, rl_four_at(to_row + k) + rl_four(out) * rl_four_at(turn + k));
    }
    first = first < i ? first : i;
    last  = i;
  }
  if (last >= 0) {
    const int below = first - RL_LATTICE_SPREAD, above = last + RL_LATTICE_SPREAD - 1;
    range_widen(&l->reached[to], below > 0 ? below : 0, above < l->tempi ? above : l->tempi - 1);
  }
}

/* Is it a tempo to jump to? From a settled place the band rarely goes far. */
static bool
may_jump(const RlLattice *const l, const int tempo, const bool settled)
{
  return !settled || l->step / jump_steps % far_jumps == 0 ||
         fabs(l->period[tempo] / l->best.period - 1) < near_tempo;
}

/* Jumps: to the beginning of any beat at any tempo. */
static void
jumps_flow(RlLattice *const l, const RlEvidence *const e)
{
  float jumped = 0;
  for (int b = 0; b < l->beats; ++b) {
    const int group = rl_lattice_group(l, RL_LEAN_ON, b);
    for (int i = 0; i < l->tempi; ++i) {
      const float mass = e->jump * l->sum * l->prior[i] / (float)l->beats;
      if (mass >= 2 * l->asleep * l->sum && may_jump(l, i, e->settled)) {
        rl_lattice_inflow(l, group)[i] += mass;
        jumped += mass;
        range_widen(&l->reached[group], i, i);
      }
    }
  }
  l->sum += jumped;
}

void
rl_lattice_step(RlLattice *const l, const RlEvidence *const evidence)
{
  const int groups = RL_EAR_LEANS * l->beats;
  l->asleep        = evidence->settled ? asleep_settled : asleep_searching;
  for (int g = 0; g < groups; ++g) {
    l->reached[g] = (RlRange){(int16_t)l->tempi, -1};
  }
  for (int g = 0; g < groups; ++g) {
    group_flow(l, g / l->beats, g % l->beats, l->asleep * l->sum * 0.1F);
  }
  if (l->step % jump_steps == jump_steps - 1) {
    jumps_flow(l, evidence);
  }
  ++l->step;
  rl_lattice_advance(l, evidence);
}

/* ---- looking ---- */

/* The weight of a row's cells from `from` to `to`, as far as they are its own. */
static float
row_part(const float *const row, const int length, const int from, const int to)
{
  float sum = 0;
  for (int k = from > 0 ? from : 0; k <= to && k < length; ++k) {
    sum += row[k];
  }
  return sum;
}

static float
group_mass(const RlLattice *const l, const int lean, const int beat, const double from,
           const double to)
{
  const int     group = rl_lattice_group(l, lean, beat);
  const RlRange range = l->range[group];
  float         sum   = 0;
  for (int i = range.first; i <= range.last; ++i) {
    if (l->awake[group * l->tempi + i]) {
      const int length = l->length[i * l->beats + beat];
      sum += row_part(rl_lattice_row(l, lean, i, beat), length, (int)ceil(from * length - 0.5),
                      (int)floor(to * length - 0.5));
    }
  }
  return sum;
}

float
rl_lattice_mass(const RlLattice *const l, const double at)
{
  const int    beat = (int)at;
  const double in   = at - beat;
  float        sum  = 0;
  for (int f = 0; f < RL_EAR_LEANS; ++f) {
    for (int d = -1; d <= 1; ++d) {
      const int b = (beat + d + l->beats) % l->beats;
      sum += group_mass(l, f, b, in - 0.5 - d, in + 0.5 - d);
    }
  }
  return fminf(sum / l->sum, 1);
}

/* The chords' weight in a cell of a beat. */
static float
chord_weight(const RlLattice *const l, const int lean, const int tempo, const int beat,
             const int cell, const RlEvidence *const e)
{
  const RlScoreBeat *const form  = l->score->beat;
  const bool               ahead = lean == RL_LEAN_AHEAD;
  const int                from  = ahead ? beat : (beat + l->beats - 1) % l->beats;
  const int                to    = ahead ? (beat + 1) % l->beats : beat;
  const float              was = e->chord[form[from].chord], is = e->chord[form[to].chord];
  return was + (is - was) * l->later[lean][tempo][cell];
}

RlWord
rl_lattice_word(const RlLattice *const l, const RlPointer place, const RlEvidence *const e)
{
  const int                tempo = tempo_nearest(l, place.period);
  const double             at    = place.at - l->beats * floor(place.at / l->beats);
  const int                beat  = (int)at % l->beats;
  const int                cell  = (int)((at - floor(at)) * l->length[tempo * l->beats + beat]);
  const RlScoreBeat *const now   = &l->score->beat[beat];
  RlWord                   word  = {
                       .onset = logf(rl_rhythm_row(&l->rhythm, now->seat, tempo)[cell]),
                       .bass  = logf(e->bass[now->stand * RL_SCORE_CHORDS_MAX + now->chord]),
  };
  for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
    word.chord[lean] = logf(chord_weight(l, lean, tempo, beat, cell, e));
  }
  return word;
}
