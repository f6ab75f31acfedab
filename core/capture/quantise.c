/* SPDX-License-Identifier: ISC */
/* The search for how a take was played: coarse first, then finer around the best, and for each
   guess the best way to divide all beats. */
#include "core/capture/quantise.h"

#include "core/capture/grid.h"

#include <assert.h>
#include <math.h>

_Static_assert(2 * RL_QUANTISE_NOTES_MAX <= INT16_MAX, "edges are counted in 16 bits");
_Static_assert(RL_QUANTISE_BEATS_MAX < INT16_MAX, "RlGridPlace.beat holds the end of the last");

/* ---- how likely a guess is beforehand: our own judgement ---- */

static const double swing_at_all     = 3;  /* cost of swing against straight time */
static const double behind_usual_ms  = 5;  /* players lag a little: mean, */
static const double behind_spread_ms = 20; /* and standard deviation */

/* ---- what is tried ---- */

static const double swings[]     = {0.5, 0.55, 0.6, 0.64, 0.68};
static const double spreads_ms[] = {5, 8, 12, 16, 22, 30, 40};
static const double gaps[]       = {0.012, 0.05, 0.12}; /* beats */

enum {
  SWINGS  = sizeof(swings) / sizeof(swings[0]),
  SPREADS = sizeof(spreads_ms) / sizeof(spreads_ms[0]),
  GAPS    = sizeof(gaps) / sizeof(gaps[0])
};

static double
guess_weigh(const RlGridTask *const t, const RlGridGuess *const g)
{
  const double odd = (g->behind_ms - behind_usual_ms) / behind_spread_ms;
  return rl_grid_beats_divide(t, g) - odd * odd / 2 - (g->swing > 0.5 ? swing_at_all : 0);
}

static void
guess_try(const RlGridTask *const t, const RlGridGuess g, RlGridGuess *const best,
          double *const likely)
{
  const double l = guess_weigh(t, &g);
  if (l > *likely) {
    *likely = l;
    *best   = g;
  }
}

/* Varies spread and gap, the rest fixed. */
static void
noise_find(const RlGridTask *const t, RlGridGuess *const best, double *const likely)
{
  const RlGridGuess from = *best;
  for (int s = 0; s < SPREADS; ++s) {
    for (int k = 0; k < GAPS; ++k) {
      RlGridGuess g = from;
      g.spread_ms   = spreads_ms[s];
      g.gap         = gaps[k];
      rl_grid_gaps_weigh(t, &g);
      guess_try(t, g, best, likely);
    }
  }
  rl_grid_gaps_weigh(t, best);
}

/* Varies swing and lay-back around the best so far. */
static void
place_find(const RlGridTask *const t, RlGridGuess *const best, double *const likely,
           const double swing_step, const double behind_step)
{
  const RlGridGuess from = *best;
  for (int s = -3; s <= 3; ++s) {
    for (int b = -3; b <= 3; ++b) {
      RlGridGuess g = from;
      g.swing       = from.swing > 0.5 ? fmin(fmax(from.swing + s * swing_step, 0.53), 0.7) : 0.5;
      g.behind_ms += b * behind_step;
      if (s == 0 || from.swing > 0.5) {
        guess_try(t, g, best, likely);
      }
    }
  }
}

static RlGridGuess
guess_find(const RlGridTask *const t)
{
  RlGridGuess best   = {0.5, 0, 16, 0.05};
  double      likely = -HUGE_VAL;
  rl_grid_gaps_weigh(t, &best);
  for (int s = 0; s < SWINGS; ++s) {
    for (int b = -4; b <= 8; ++b) {
      guess_try(t, (RlGridGuess){swings[s], b * 10, 16, 0.05}, &best, &likely);
    }
  }
  noise_find(t, &best, &likely);
  place_find(t, &best, &likely, 0.015, 5);
  noise_find(t, &best, &likely);
  place_find(t, &best, &likely, 0.005, 1.5);
  return best;
}

void
rl_quantise(RlGridNote *const note, const int notes, const RlGridBeat *const beat, const int beats,
            const double tempo, RlGridWorkspace *const workspace, RlGridFeel *const feel)
{
  assert(notes >= 0 && notes <= RL_QUANTISE_NOTES_MAX);
  assert(beats >= 1 && beats <= RL_QUANTISE_BEATS_MAX);
  assert(tempo > 0);
  RlGridTask t = {.note           = note,
                  .notes          = notes,
                  .beat           = beat,
                  .beats          = beats,
                  .ms_per_quarter = 60000 / tempo,
                  .workspace      = workspace};
  rl_grid_onsets_find(&t);
  const RlGridGuess best = guess_find(&t);
  rl_grid_beats_divide(&t, &best);
  rl_grid_backtrack(&t);
  rl_grid_notes_place(&t, &best);
  *feel = rl_grid_feel(&t, &best);
}
