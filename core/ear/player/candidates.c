/* SPDX-License-Identifier: ISC */
#include "core/ear/player/candidates.h"

#include "core/ear/four.h"

#include <math.h>
#include <string.h>

enum { SLOW, FAST };

static const float nepers = 0.69314718F; /* of a doubling */

/* Quick scores so far below the best are hardly ever right (tests/ear/hear: nothing is lost); while
 * one hole surely goes on, even less so. */
static const float hopeless = 7, hopeless_same = 5;

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
  float               hopeless;
  float               level[2][RL_REED_NOTES]; /* dB of the fundamentals, slow and fast */
  float               lag[RL_REED_NOTES];      /* of this harp */
  float               single_lag[RL_REED_NOTES];
  float top[RL_REED_NOTES], flat[RL_REED_NOTES]; /* by single state: how alike its window is at the
                                             lag found, and the long one */
  RlCandidate best[RL_CANDIDATES];
  uint8_t     rank[RL_CANDIDATES]; /* of `best`, best first */
} RlChoosing;

static float
fits(const float a, const float b)
{
  const RlFour log2 = rl_four_log2((RlFour){rl_greater(a, 0), rl_greater(b, 0), 1, 1} + 0.03F);
  return -nepers * (log2[0] + log2[1]);
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
  for (; n <= RL_REED_NOTES; ++n) {
    to->order[SLOW][n] = to->order[FAST][n] = -1;
  }
  for (int i = 0; i < reeds->states; ++i) {
    const RlReedState *const state = &reeds->state[i];
    to->height[i] = -(float)state->count - 0.7F * log2f(reeds->note[state->note[0]].lag * 0.05F);
  }
}

/* Levels and lags of all notes. */
static void
notes_look(RlChoosing *const c, const RlLines *const lines)
{
  const float *const fast = rl_lines_fast(lines, 0);
  for (int k = 0; k < c->reeds->notes; ++k) {
    const int line    = c->reeds->note[k].line[0];
    c->level[SLOW][k] = lines->slow[line];
    c->level[FAST][k] = fast[line];
    c->lag[k]         = c->reeds->note[k].lag * (1 - (c->tuning->note[k] + c->tuning->all) * cent);
  }
}

/* Notes of different pitch by loudness, from the order of the block before, which is nearly right.
 */
static void
notes_sort(RlChoosing *const c, const int window)
{
  int *const         order = c->to->order[window];
  const float *const level = c->level[window];
  for (int n = 1; order[n] >= 0; ++n) {
    const int k = order[n];
    int       i = n;
    for (; i > 0 && level[order[i - 1]] < level[k]; --i) {
      order[i] = order[i - 1];
    }
    order[i] = k;
  }
  c->to->loudest[window] = level[order[0]];
}

/* The loudest fundamental that a state does not explain, against the loudest of all. */
static float
unexplained(const RlChoosing *const c, const RlReedState *const s, const int window)
{
  const int *k = c->to->order[window];
  while (*k >= 0 && (s->explained >> *k & 1)) {
    ++k;
  }
  return *k >= 0 ? c->level[window][*k] - c->to->loudest[window] : -40;
}

static float
weakest(const RlChoosing *const c, const RlReedState *const s, const int window)
{
  float least = c->level[window][s->note[0]];
  for (int i = 1; i < s->count; ++i) {
    least = rl_lesser(least, c->level[window][s->note[i]]);
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

static int
rounded_up(const float x)
{
  const int whole = (int)x;
  return whole + ((float)whole < x);
}

/* One pitch: where within a quarter tone the sound repeats best. */
static void
single_find(RlChoosing *const c, const int state)
{
  const int               note = c->reeds->state[state].note[0];
  const RlReedNote *const n    = &c->reeds->note[note];
  const float *const      row  = c->tape->alike[n->window];
  const float             off  = rl_harp_tuning_of(c->tuning, c->reeds, note);
  const float             as   = 1 - rl_greater(-most_off, rl_lesser(off, most_off)) * cent;
  const int               high = rounded_up((float)n->high * as);
  int                     lag  = (int)((float)n->low * as);
  for (int i = lag; i <= high; ++i) {
    lag = row[i] > row[lag] ? i : lag;
  }
  c->single_lag[state] = summit(row, lag, 0.25F, &c->top[state]);
  c->to->lag[note]     = c->single_lag[state];
}

static void
singles_find(RlChoosing *const c)
{
  const int pitches = c->reeds->pitches;
  for (int s = 0; s < pitches; ++s) {
    single_find(c, s);
  }
  for (int s = pitches; s % 4; ++s) {
    c->single_lag[s] = 0;
  }
  for (int s = 0; s < pitches; s += 4) {
    rl_four_put(c->flat + s, rl_tape_four_between(c->tape, RL_LONG, rl_four_at(c->single_lag + s)));
  }
}

static void
single_weigh(RlChoosing *const c, const int state, RlCandidate *const to)
{
  const float *const all = c->tape->alike[RL_LONG];
  const float        at = c->single_lag[state], flat = c->flat[state];
  const int          lag = (int)(at + 0.5F);
  float              top = flat;
  if (all[lag] >= all[lag - 1] && all[lag] >= all[lag + 1]) {
    summit(all, lag, 0.25F, &top);
  } else {
    top = rl_greater(all[lag], flat);
  }
  to->lag[0]            = at;
  to->left[RL_SHORT]    = 1 - c->top[state];
  to->left[RL_LONG]     = 1 - top;
  c->to->best[RL_SHORT] = rl_lesser(c->to->best[RL_SHORT], to->left[RL_SHORT]);
}

static void
several_weigh(const RlChoosing *const c, const RlReedState *const s, RlCandidate *const to)
{
  for (int i = 0; i < s->count; ++i) {
    to->lag[i] = c->lag[s->note[i]];
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
    to->bent = rl_greater(to->bent, fabsf(to->lag[i] / c->lag[s->note[i]] - 1));
  }
}

/* The two shortest windows, where a note that begins is seen first. */
static void
newest_weigh(const RlChoosing *const c, const RlReedState *const s, RlCandidate *const to)
{
  for (int w = RL_NEWEST; w <= RL_SHORTEST; ++w) {
    to->left[w]    = rl_tape_left(c->tape, w, to->lag, s->count);
    c->to->best[w] = rl_lesser(c->to->best[w], to->left[w]);
  }
}

/* Own judgement, made so that the right one is nearly always among the sixteen. */
static float
quick_score(const RlChoosing *const c, const RlCandidate *const x)
{
  return 1.5F * fits(x->left[RL_LONG], x->left[RL_SHORT]) +
         0.12F * (rl_lesser(0, x->weakest[FAST] + 8) - rl_greater(0, x->unexplained[FAST] + 12)) +
         c->to->height[x->state] + (c->belief[x->state] > 0.02F ? 2 : 0);
}

static void
candidate_put(RlChoosing *const c, const RlCandidate *const x)
{
  const int  count = c->to->count;
  const bool full  = count == RL_CANDIDATES;
  if (count && (x->quick < c->best[c->rank[0]].quick - c->hopeless ||
                (full && x->quick <= c->best[c->rank[count - 1]].quick))) {
    return;
  }
  const int place = full ? c->rank[count - 1] : count;
  int       i     = full ? count - 1 : count;
  for (; i > 0 && c->best[c->rank[i - 1]].quick < x->quick; --i) {
    c->rank[i] = c->rank[i - 1];
  }
  c->rank[i]     = (uint8_t)place;
  c->best[place] = *x;
  c->to->count += !full;
}

static void
state_weigh(RlChoosing *const c, const int state)
{
  const RlReedState *const s       = &c->reeds->state[state];
  const bool               several = s->count > 1;
  const float              slow = weakest(c, s, SLOW), fast = weakest(c, s, FAST);
  if (several && slow > -25) {
    c->to->live[c->to->lives]           = state;
    c->to->live_weakest[c->to->lives++] = slow;
  }
  if (several && (slow < -32 || fast < -28)) {
    return;
  }
  RlCandidate x = {.state       = (uint8_t)state,
                   .weakest     = {slow, fast},
                   .unexplained = {unexplained(c, s, SLOW), unexplained(c, s, FAST)}};
  if (several) {
    several_weigh(c, s, &x);
  } else {
    single_weigh(c, state, &x);
  }
  c->to->best[RL_LONG] = rl_lesser(c->to->best[RL_LONG], x.left[RL_LONG]);
  x.quick              = quick_score(c, &x);
  candidate_put(c, &x);
}

void
rl_candidates_choose(RlCandidates *const to, const RlReeds *const reeds, const RlTape *const tape,
                     const RlLines *const lines, const RlHarpTuning *const tuning,
                     const float *const belief, const bool same)
{
  RlChoosing c;
  c.to       = to;
  c.reeds    = reeds;
  c.tape     = tape;
  c.tuning   = tuning;
  c.belief   = belief;
  c.hopeless = same ? hopeless_same : hopeless;
  to->count = to->lives = 0;
  for (int w = 0; w < RL_WINDOWS; ++w) {
    to->best[w] = 9;
  }
  notes_look(&c, lines);
  notes_sort(&c, SLOW);
  notes_sort(&c, FAST);
  to->first = to->order[FAST][0];
  singles_find(&c);
  for (int s = 0; s < reeds->states; ++s) {
    state_weigh(&c, s);
  }
  while (c.best[c.rank[to->count - 1]].quick < c.best[c.rank[0]].quick - c.hopeless) {
    --to->count;
  }
  for (int i = 0; i < to->count; ++i) {
    RlCandidate *const       x = &to->candidate[i];
    const RlReedState *const s = &reeds->state[c.best[c.rank[i]].state];
    *x                         = c.best[c.rank[i]];
    if (s->count > 1 && x->left[RL_LONG] < 0.6F) {
      several_refine(&c, s, x);
    }
    newest_weigh(&c, s, x);
    to->best[RL_LONG] = rl_lesser(to->best[RL_LONG], x->left[RL_LONG]);
  }
}
