/* SPDX-License-Identifier: ISC */
/* The inner loops of the lattice. */
#include "core/ear/lattice_inside.h"

#include <string.h>

typedef struct {
  int lean, beat, tempo, length;
} RowName;

/* What the rows of a step sum up to. */
typedef struct {
  RlFour  chords;         /* weight before, with the chords */
  double  sum;            /* and after all */
  float   heaviest, best; /* of rows, and the greatest density of a cell */
  RowName name;           /* of its row */
  int     cells;
} Sweep;

static float
cells_most(const float *const row, const int length)
{
  float most = 0;
  for (int k = 0; k < length; ++k) {
    most = row[k] > most ? row[k] : most;
  }
  return most;
}

/* What a row is weighed by: the onsets' worth of each cell, how much the later of two chords sounds
   there, the earlier one's worth, and what the later one's has more; and what the whole row is
   worth by its tempo and the bass. */
typedef struct {
  const float *onsets, *later;
  float        chord, more, stay;
} Weights;

/* A row one cell on, weighed, from the top down. What flows in stands before the row, and goes with
   it; what leaves its last cell for the padding behind it is taken away again. `same`: both chords
   are one; a literal, for the compiler makes a loop of its own of each. */
static inline float
row_move(float *const row, const Weights *const w, const float inflow, const int length,
         const bool same, RlFour *const chords)
{
  const float  left   = row[length - 1] * (w->chord + (same ? 0 : w->more * w->later[length]));
  const RlFour chord  = rl_four(w->chord);
  const RlFour more   = rl_four(w->more);
  RlFour       before = {0}, sum = {0};
  row[-1] = inflow;
  for (int k = ((length + 4) & ~3) - 4; k >= 0; k -= 4) {
    const RlFour moved = rl_four_at(row + k - 1);
    RlFour       by    = chord;
    if (!same) {
      by += more * rl_four_at(w->later + k);
    }
    const RlFour likely = moved * by;
    const RlFour now    = likely * rl_four_at(w->onsets + k);
    rl_four_put(row + k, now);
    before += likely;
    sum += now;
  }
  const float over   = row[length];
  const float unstay = 1 / w->stay;
  *chords += (before - (RlFour){left, 0, 0, 0}) * rl_four(unstay);
  row[-1]     = 0;
  row[length] = 0;
  return rl_four_halves(sum) - over;
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

/* What the rows of a lean and beat have in common; rows of the arrays by tempo, `stride` apart. */
typedef struct {
  int            lean, beat, stride;
  float         *cells, *inflow;
  uint8_t       *awake;
  const int32_t *offset;
  const uint8_t *length;
  const float   *cost;
  bool           same;           /* both chords are one */
  float          from, to, stay; /* worth of the earlier and the later chord, and of the bass */
  float          least;          /* the share of all with which a row stays awake */
} Group;

static Group
group_of(const RlLattice *const l, const int lean, const int beat, const RlEvidence *const e)
{
  const int                group = rl_lattice_group(l, lean, beat);
  const bool               ahead = lean == RL_LEAN_AHEAD;
  const RlScoreBeat *const form = l->score->beat, *const now = &form[beat];
  const int   other = (beat + (ahead ? 1 : l->beats - 1)) % l->beats;
  const float own = e->chord[now->chord], else_ = e->chord[form[other].chord];
  return (Group){
    .lean   = lean,
    .beat   = beat,
    .stride = l->beats,
    .cells  = l->p + (size_t)lean * (size_t)l->cells,
    .inflow = rl_lattice_inflow(l, group),
    .awake  = l->awake + (size_t)group * (size_t)l->tempi,
    .offset = l->offset + beat,
    .length = l->length + beat,
    .cost   = l->cost,
    .same   = now->chord == form[other].chord,
    .from   = ahead ? own : else_,
    .to     = ahead ? else_ : own,
    .stay   = e->bass[now->stand * RL_SCORE_CHORDS_MAX + now->chord] / l->sum, /* sum near 1 */
    .least  = l->asleep,
  };
}

/* A row of `inflow` more; false if it sleeps. */
static inline bool
row_take(const RlLattice *const l, const Group *const g, const int tempo, const float inflow,
         Sweep *const sweep)
{
  const int     length = g->length[tempo * g->stride];
  float *const  row    = g->cells + g->offset[tempo * g->stride];
  const float   stay   = g->cost[tempo] * g->stay;
  const Weights w      = {rl_rhythm_row(&l->rhythm, l->score->beat[g->beat].seat, tempo),
                          l->later[g->lean][tempo], g->from * stay, (g->to - g->from) * stay, stay};
  if (!g->awake[tempo]) {
    memset(row, 0, (size_t)(length + 1) * sizeof(float));
  }
  const float sum = g->same ? row_move(row, &w, inflow, length, true, &sweep->chords)
                            : row_move(row, &w, inflow, length, false, &sweep->chords);
  sweep->cells += length;
  if (sum > g->least) {
    sweep->sum += (double)sum;
    best_offer(sweep, row, sum, (RowName){g->lean, g->beat, tempo, length});
  }
  return sum > g->least;
}

static void
group_move(RlLattice *const l, const int lean, const int beat, const RlEvidence *const e,
           Sweep *const sweep)
{
  const Group   g     = group_of(l, lean, beat, e);
  const int     group = rl_lattice_group(l, lean, beat);
  const RlRange awake = l->range[group], into = l->reached[group];
  const int     first = awake.first < into.first ? awake.first : into.first;
  const int     last  = awake.last > into.last ? awake.last : into.last;
  const float   least = 2 * l->asleep * l->sum; /* that wakes a row */
  RlRange       left  = {(int16_t)l->tempi, -1};
  for (int i = first; i <= last; ++i) {
    const float inflow = g.inflow[i];
    const bool  stirs  = g.awake[i] || inflow >= least;
    const bool  stays  = stirs && row_take(l, &g, i, inflow, sweep);
    g.inflow[i]        = 0;
    g.awake[i]         = stays;
    if (stays) {
      left.first = left.last < 0 ? (int16_t)i : left.first;
      left.last  = (int16_t)i;
    }
  }
  l->range[group] = left;
}

static void
best_find(RlLattice *const l, const Sweep *const sweep)
{
  const float *const row = rl_lattice_row(l, sweep->name.lean, sweep->name.tempo, sweep->name.beat);
  const int          length = sweep->name.length;
  int                cell   = 0;
  for (int k = 1; k < length; ++k) {
    cell = row[k] > row[cell] ? k : cell;
  }
  const int seat = l->score->beat[sweep->name.beat].seat;
  l->best =
    (RlPointer){sweep->name.beat + (cell + 0.5) / length, l->period[sweep->name.tempo],
                rl_rhythm_feel(&l->rhythm, seat, sweep->name.tempo, cell), sweep->name.lean};
}

/* Keeps the sum near 1. */
static void
range_mend(RlLattice *const l)
{
  const float by = 1 / l->sum;
  if (l->sum > 1e-15F && l->sum < 1e15F) {
    return;
  }
  for (int k = 0; k < l->cells * RL_EAR_LEANS; ++k) {
    l->p[k] *= by;
  }
  l->sum = 1;
}

/* The onsets, at the tempi that are awake or reached. */
static void
rhythm_step(RlLattice *const l, const RlEvidence *const e)
{
  int first = l->tempi - 1, last = 0;
  for (int g = 0; g < RL_EAR_LEANS * l->beats; ++g) {
    first = l->range[g].last >= 0 && l->range[g].first < first ? l->range[g].first : first;
    first = l->reached[g].last >= 0 && l->reached[g].first < first ? l->reached[g].first : first;
    last  = l->range[g].last > last ? l->range[g].last : last;
    last  = l->reached[g].last > last ? l->reached[g].last : last;
  }
  rl_rhythm_step(&l->rhythm, e->symbol, first, last);
  rl_rhythm_prefer(&l->rhythm, e->grid, first, last);
}

void
rl_lattice_advance(RlLattice *const l, const RlEvidence *const e)
{
  Sweep sweep = {0};
  rhythm_step(l, e);
  for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
    for (int b = 0; b < l->beats; ++b) {
      group_move(l, lean, b, e, &sweep);
    }
  }
  if (!(sweep.sum > 0)) { /* all asleep: anywhere again */
    rl_lattice_spread(l, NULL);
    return;
  }
  l->gain    = (double)(rl_four_halves(sweep.chords) / l->sum);
  l->weighed = sweep.cells;
  l->sum     = (float)sweep.sum;
  best_find(l, &sweep);
  range_mend(l);
}
