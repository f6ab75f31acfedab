/* SPDX-License-Identifier: ISC */
#include "core/ear/player/candidates.h"

#include "core/ear/four.h"

#include <math.h>
#include <string.h>

enum { SLOW, FAST };

static const float nepers = 0.69314718F; /* of a doubling */

/* Quick scores so far below the best are hardly ever right (tests/ear/hear: nothing is lost). */
static const float hopeless = 7;

/* How much of the lag one cent is. */
static const float cent = 5.776e-4F;

/* Cents by which the quarter tone about a note is moved at most, to where this harp has it. */
static const float most_off = 25;

typedef struct {
  RlCandidates       *to;
  const RlReeds      *reeds;
  const RlTape       *tape;
  const RlHarpTuning *tuning;
  const float        *belief;
  const float        *level[2]; /* dB by line, slow and fast */
} RlChoosing;

static float
note_level(const RlChoosing *const c, const int note, const int window)
{
  return c->level[window][c->reeds->note[note].line[0]];
}

static float
fit(const float left)
{
  return -nepers * rl_log2_near((left > 0 ? left : 0) + 0.03F);
}

void
rl_candidates_init(RlCandidates *const to, const RlReeds *const reeds)
{
  memset(to, 0, sizeof(*to));
  int n = 0;
  for (int k = 0; k < reeds->notes; ++k) {
    if (reeds->note[k].same == k && reeds->note[k].line[0] >= 0) {
      to->order[SLOW][n]   = k;
      to->order[FAST][n++] = k;
    }
  }
  for (; n < RL_REED_NOTES; ++n) {
    to->order[SLOW][n] = to->order[FAST][n] = -1;
  }
}

/* Notes of different pitch by loudness, from the order of the block before, which is nearly right.
 */
static void
notes_sort(RlChoosing *const c, const int window)
{
  int *const order = c->to->order[window];
  for (int n = 1; n < RL_REED_NOTES && order[n] >= 0; ++n) {
    const int   k     = order[n];
    const float level = note_level(c, k, window);
    int         i     = n;
    for (; i > 0 && note_level(c, order[i - 1], window) < level; --i) {
      order[i] = order[i - 1];
    }
    order[i] = k;
  }
  c->to->loudest[window] = note_level(c, order[0], window);
}

/* The loudest fundamental that a state does not explain, against the loudest of all. */
static float
unexplained(const RlChoosing *const c, const RlReedState *const s, const int window)
{
  const int *const order = c->to->order[window];
  int              i     = 0;
  while (i < c->reeds->notes && order[i] >= 0 && (s->explained >> order[i] & 1)) {
    ++i;
  }
  return i < c->reeds->notes && order[i] >= 0
           ? note_level(c, order[i], window) - c->to->loudest[window]
           : -40;
}

static float
weakest(const RlChoosing *const c, const RlReedState *const s, const int window)
{
  float least = note_level(c, s->note[0], window);
  for (int i = 1; i < s->count; ++i) {
    least = fminf(least, note_level(c, s->note[i], window));
  }
  return least - c->to->loudest[window];
}

/* Where the curve through three points is highest: the lag, and its value in *top. */
static float
summit(const float *const row, const int lag, const float share, float *const top)
{
  const float a = row[lag - 1], b = row[lag], c = row[lag + 1], bend = a - 2 * b + c;
  *top = b;
  if (b < a || b < c || bend > -1e-9F) {
    return (float)lag;
  }
  const float aside = 0.5F * (a - c) / bend;
  *top              = b - share * (a - c) * aside;
  return (float)lag + aside;
}

float
rl_harp_tuning_of(const RlHarpTuning *const tuning, const RlReeds *const reeds, const int note)
{
  const int reed = reeds->note[note].reed;
  return tuning->all + (reed >= 0 ? tuning->note[reeds->note[reed].same] : 0);
}

/* One pitch: where within a quarter tone the sound repeats best. */
static void
single_weigh(RlChoosing *const c, const RlReedState *const s, RlCandidate *const to)
{
  const RlReedNote *const n    = &c->reeds->note[s->note[0]];
  const float *const      row  = c->tape->alike[n->window];
  const float *const      all  = c->tape->alike[RL_LONG];
  const float             off  = rl_harp_tuning_of(c->tuning, c->reeds, s->note[0]);
  const float             as   = 1 - fmaxf(-most_off, fminf(off, most_off)) * cent;
  const int               high = (int)ceilf((float)n->high * as);
  int                     lag  = (int)((float)n->low * as);
  float                   top, flat;
  for (int i = lag; i <= high; ++i) {
    lag = row[i] > row[lag] ? i : lag;
  }
  to->lag[0]             = summit(row, lag, 0.25F, &top);
  to->left[RL_SHORT]     = 1 - top;
  c->to->lag[s->note[0]] = to->lag[0];
  lag                    = (int)(to->lag[0] + 0.5F);
  summit(all, lag, 0.25F, &top);
  flat = rl_tape_between(c->tape, RL_LONG, to->lag[0]);
  to->left[RL_LONG] =
    1 - (all[lag] >= all[lag - 1] && all[lag] >= all[lag + 1] ? top : fmaxf(top, flat));
}

static float
tuned_lag(const RlChoosing *const c, const int note)
{
  return c->reeds->note[note].lag * (1 - (c->tuning->note[note] + c->tuning->all) * cent);
}

static void
several_weigh(const RlChoosing *const c, const RlReedState *const s, RlCandidate *const to)
{
  for (int i = 0; i < s->count; ++i) {
    to->lag[i] = tuned_lag(c, s->note[i]);
  }
  to->left[RL_LONG]  = rl_tape_left(c->tape, RL_LONG, to->lag, s->count);
  to->left[RL_SHORT] = rl_tape_left(c->tape, RL_SHORT, to->lag, s->count);
}

/* Moves each lag in turn within 0.7 and then 0.35 percent to where least is left. */
static void
several_refine(const RlChoosing *const c, const RlReedState *const s, RlCandidate *const to)
{
  float least = to->left[RL_LONG];
  for (int turn = 0; turn < 2 * s->count; ++turn) {
    const int   i    = turn % s->count;
    const float from = to->lag[i], step = turn < s->count ? 0.0035F : 0.00175F;
    float       best = from;
    for (int g = -2; g <= 2; ++g) {
      to->lag[i]       = from * (1 + (float)g * step);
      const float left = g ? rl_tape_left(c->tape, RL_LONG, to->lag, s->count) : least;
      if (left < least) {
        least = left;
        best  = to->lag[i];
      }
    }
    to->lag[i] = best;
  }
  to->left[RL_LONG]  = least;
  to->left[RL_SHORT] = rl_tape_left(c->tape, RL_SHORT, to->lag, s->count);
  for (int i = 0; i < s->count; ++i) {
    to->bent = fmaxf(to->bent, fabsf(to->lag[i] / tuned_lag(c, s->note[i]) - 1));
  }
}

/* The two shortest windows, where a note that begins is seen first. */
static void
newest_weigh(const RlChoosing *const c, const RlReedState *const s, RlCandidate *const to)
{
  for (int w = RL_NEWEST; w <= RL_SHORTEST; ++w) {
    to->left[w]    = rl_tape_left(c->tape, w, to->lag, s->count);
    c->to->best[w] = fminf(c->to->best[w], to->left[w]);
  }
}

/* Own judgement, made so that the right one is nearly always among the sixteen. */
static float
quick_score(const RlChoosing *const c, const RlReedState *const s, const RlCandidate *const x)
{
  return 1.5F * (fit(x->left[RL_LONG]) + fit(x->left[RL_SHORT])) +
         0.12F * fminf(0, x->weakest[FAST] + 8) - 0.12F * fmaxf(0, x->unexplained[FAST] + 12) -
         (float)s->count - 0.7F * rl_log2_near(c->reeds->note[s->note[0]].lag * 0.05F) +
         (c->belief[x->state] > 0.02F ? 2 : 0);
}

static void
candidate_put(RlCandidates *const to, const RlCandidate *const x)
{
  if (to->count == RL_CANDIDATES && x->quick <= to->candidate[RL_CANDIDATES - 1].quick) {
    return;
  }
  int i = to->count < RL_CANDIDATES ? to->count++ : RL_CANDIDATES - 1;
  for (; i > 0 && to->candidate[i - 1].quick < x->quick; --i) {
    to->candidate[i] = to->candidate[i - 1];
  }
  to->candidate[i] = *x;
}

static void
state_weigh(RlChoosing *const c, const int state)
{
  const RlReedState *const s = &c->reeds->state[state];
  RlCandidate              x = {.state = (uint8_t)state};
  for (int w = SLOW; w <= FAST; ++w) {
    x.weakest[w] = weakest(c, s, w);
  }
  if (s->count > 1 && x.weakest[SLOW] > -25) {
    c->to->live[c->to->lives]           = state;
    c->to->live_weakest[c->to->lives++] = x.weakest[SLOW];
  }
  if (s->count > 1 && (x.weakest[SLOW] < -32 || x.weakest[FAST] < -28)) {
    return;
  }
  for (int w = SLOW; w <= FAST; ++w) {
    x.unexplained[w] = unexplained(c, s, w);
  }
  if (s->count == 1) {
    single_weigh(c, s, &x);
    c->to->best[RL_SHORT] = fminf(c->to->best[RL_SHORT], x.left[RL_SHORT]);
  } else {
    several_weigh(c, s, &x);
  }
  c->to->best[RL_LONG] = fminf(c->to->best[RL_LONG], x.left[RL_LONG]);
  x.quick              = quick_score(c, s, &x);
  candidate_put(c->to, &x);
}

void
rl_candidates_choose(RlCandidates *const to, const RlReeds *const reeds, const RlTape *const tape,
                     const RlLines *const lines, const RlHarpTuning *const tuning,
                     const float *const belief)
{
  RlChoosing c  = {.to = to, .reeds = reeds, .tape = tape, .tuning = tuning, .belief = belief};
  c.level[SLOW] = lines->slow;
  c.level[FAST] = rl_lines_fast(lines, 0);
  to->count = to->lives = 0;
  for (int w = 0; w < RL_WINDOWS; ++w) {
    to->best[w] = 9;
  }
  notes_sort(&c, SLOW);
  notes_sort(&c, FAST);
  to->first = to->order[FAST][0];
  for (int s = 0; s < reeds->states; ++s) {
    state_weigh(&c, s);
  }
  while (to->candidate[to->count - 1].quick < to->candidate[0].quick - hopeless) {
    --to->count;
  }
  for (int i = 0; i < to->count; ++i) {
    const RlReedState *const s = &reeds->state[to->candidate[i].state];
    if (s->count > 1 && to->candidate[i].left[RL_LONG] < 0.6F) {
      several_refine(&c, s, &to->candidate[i]);
    }
    newest_weigh(&c, s, &to->candidate[i]);
    to->best[RL_LONG] = fminf(to->best[RL_LONG], to->candidate[i].left[RL_LONG]);
  }
}
