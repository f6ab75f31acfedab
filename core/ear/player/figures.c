/* SPDX-License-Identifier: ISC */
#include "core/ear/player/figures.h"

#include "core/ear/four.h"
#include "core/ear/resampler.h"

#include <math.h>
#include <string.h>

enum { SLOW, FAST };

static const float nepers = 0.69314718F;
static const float silent = -70; /* dB: a partial above the highest line */

/** Blocks in what is compared. */
enum { IN_11MS = 2, IN_21MS = 4, IN_43MS = 8, IN_85MS = 16, IN_171MS = 32, IN_FALL = 56 };

/* What all figures of one block rest on. */
typedef struct {
  const RlCandidates *of;
  const RlReeds      *reeds;
  const RlTape       *tape;
  const RlLines      *lines;
  const RlBeats      *beats;
  const RlBackground *background;
  const RlHarpTuning *tuning;
  RlReedMemory       *memory;
  const float        *slow, *fast, *fast_43ms, *fast_85ms, *fast_171ms, *fast_fall;
  float               level, below_top, rise_21ms, rise_85ms, rise_171ms, steepest_fall,
    since_steepest; /* dB, not scaled */
  int   steepest_ago;
  float power[RL_REED_NOTES], power_sum;
} RlMoment;

static float
clamp(const float x, const float low, const float high)
{
  return x < low ? low : x > high ? high : x;
}

/* Decibels to about -2..2. */
static float
scaled(const float decibels, const float low, const float high)
{
  return clamp(decibels, low, high) * 0.1F;
}

static float
fit(const float left)
{
  return -nepers * rl_log2_near((left > 0 ? left : 0) + 0.02F);
}

static float
fit_new(const float left)
{
  return -nepers * rl_log2_near(clamp(left, 0, 9) + 0.03F) - 1;
}

static int
line_of(const RlMoment *const m, const int note)
{
  return m->reeds->note[note].line[0];
}

/* ---- the moment ---- */

static void
levels_look(RlMoment *const m, const float reference)
{
  const float now  = rl_lines_level(m->lines, 0);
  float       top  = now;
  int         fell = 0;
  for (int b = 0; b < IN_85MS; ++b) {
    top = rl_greater(top, rl_lines_level(m->lines, b));
  }
  for (int b = 0; b < IN_FALL; ++b) {
    const float fall = rl_lines_level(m->lines, b) - rl_lines_level(m->lines, b + IN_21MS);
    if (fall < m->steepest_fall - 0.01F) {
      m->steepest_fall = fall;
      fell             = b;
    }
  }
  m->level          = now - reference;
  m->below_top      = now - top;
  m->rise_21ms      = now - rl_lines_level(m->lines, IN_21MS);
  m->rise_85ms      = now - rl_lines_level(m->lines, IN_85MS);
  m->rise_171ms     = now - rl_lines_level(m->lines, IN_171MS);
  m->steepest_ago   = fell;
  m->since_steepest = now - rl_lines_level(m->lines, fell);
  m->fast_fall      = rl_lines_fast(m->lines, fell + IN_21MS);
}

static void
powers_look(RlMoment *const m)
{
  for (int k = 0; k < m->reeds->notes; ++k) {
    m->power[k] = 0;
    if (m->reeds->note[k].same == k) {
      const float below = m->slow[line_of(m, k)] - m->of->loudest[SLOW];
      m->power[k]       = below < -40 ? 1e-4F : exp2f(below * 0.33219F);
      m->power_sum += m->power[k];
    }
  }
}

/* The steepest rise in 11 ms, of the last 85 ms: of all the sound, or of one line. */
static float
last_rise(const RlMoment *const m, const int line)
{
  float most = -99;
  for (int b = 0; b < IN_85MS; b += IN_11MS) {
    const int then = b + IN_11MS;
    most = rl_greater(most, line < 0 ? rl_lines_level(m->lines, b) - rl_lines_level(m->lines, then)
                                     : rl_lines_fast(m->lines, b)[line] -
                                         rl_lines_fast(m->lines, then)[line]);
  }
  return most;
}

/* Cents that a pitch's lag moved over 43 ms; 0 where it was not known. */
static float
drift_of(const RlMoment *const m, const int note)
{
  const RlReedMemory *const r      = m->memory;
  const float               before = r->lag[(r->now + 1) % 9][note], now = r->lag[r->now][note];
  return before > 0 && now > 0 ? fabsf(now / before - 1) * 1731 : 0;
}

/* Cents between a pitch as it sounds and as this harp has it. */
static float
off_tune(const RlMoment *const m, const int note)
{
  const float cents = (m->reeds->note[note].lag / m->of->lag[note] - 1) * 1731;
  return fabsf(cents - rl_harp_tuning_of(m->tuning, m->reeds, note));
}

/* The single pitch that fits best; -1 if there is none. */
static int
best_pitch(const RlMoment *const m)
{
  int   best  = -1;
  float least = 9;
  for (int i = 0; i < m->of->count; ++i) {
    const RlCandidate *const x = &m->of->candidate[i];
    if (m->reeds->state[x->state].count == 1 && x->left[RL_LONG] < least) {
      least = x->left[RL_LONG];
      best  = m->reeds->state[x->state].note[0];
    }
  }
  return best;
}

static void
memory_turn(const RlMoment *const m)
{
  RlReedMemory *const r = m->memory;
  rl_reed_memory_lags(r, m->of->lag);
  const int best = best_pitch(m);
  if (best >= 0) {
    r->mean_off += 0.03F * (off_tune(m, best) - r->mean_off);
    r->mean_drift += 0.03F * (rl_lesser(100, drift_of(m, best)) - r->mean_drift);
  }
}

/* A note's fundamental against what sounds behind the player there, dB. */
static float
above_behind(const RlMoment *const m, const int note)
{
  const int w = line_of(m, note);
  return m->fast[w] - m->background->line[w];
}

static float
most_above_behind(const RlMoment *const m)
{
  float most = -40;
  for (int i = 0; i < 8 && i < m->reeds->notes && m->of->order[FAST][i] >= 0; ++i) {
    most = rl_greater(most, above_behind(m, m->of->order[FAST][i]));
  }
  return most;
}

static float
behind_scaled(const float decibels)
{
  return clamp(decibels, -10, 40) * 0.05F;
}

/* What lies below the harp against all the sound now. */
static float
lows_scaled(const RlMoment *const m, const float power)
{
  return scaled(3.0103F * rl_log2_near(power + 1e-14F) - rl_lines_level(m->lines, 0), -40, 20) + 1;
}

static void
moment_write(const RlMoment *const m, RlMomentFigures *const f)
{
  const int *const order = m->of->order[SLOW];
  const int        first = line_of(m, m->of->first), best = best_pitch(m);
  const float      all = 3.0103F * rl_log2_near(rl_tape_power(m->tape, RL_TAPE_WINDOW) + 1e-14F);
  *f                   = (RlMomentFigures){
                      .fit                = {fit(m->of->best[RL_LONG]) - 1.5F, fit(m->of->best[RL_SHORT]) - 1.5F},
                      .fit_new            = {fit_new(m->of->best[RL_SHORTEST]), fit_new(m->of->best[RL_NEWEST])},
                      .level              = scaled(m->level, -38, 10) + 0.5F,
                      .below_top          = scaled(m->below_top, -20, 0),
                      .rise_21ms          = scaled(m->rise_21ms, -15, 15),
                      .rise_85ms          = scaled(m->rise_85ms, -15, 15),
                      .rise_171ms         = scaled(m->rise_171ms, -15, 15),
                      .steepest_ago       = (float)m->steepest_ago / IN_FALL,
                      .last_rise          = scaled(last_rise(m, -1), -10, 15),
                      .steepest_fall      = scaled(m->steepest_fall, -15, 0),
                      .since_steepest     = scaled(m->since_steepest, -15, 15),
                      .loudest_share      = scaled(m->of->loudest[SLOW] - all, -40, 10),
                      .loudest_rise       = scaled(m->fast[first] - m->fast_43ms[first], -20, 20),
                      .loudest_since_fall = scaled(m->fast[first] - m->fast_fall[first], -20, 20),
                      .loudest_below_all  = scaled(m->of->loudest[FAST] - rl_lines_level(m->lines, 0), -40, 10),
                      .fourth =
                        (order[3] >= 0 ? scaled(m->slow[line_of(m, order[3])] - m->of->loudest[SLOW], -40, 0) : -4) +
                        1,
                      .alike = {m->tape->alike[RL_LONG][1], m->tape->alike[RL_LONG][2], m->tape->alike[RL_LONG][4]},
                      .drift = best >= 0 ? rl_lesser(100, drift_of(m, best)) * 0.02F : 2,
                      .mean_off           = m->memory->mean_off * 0.03F,
                      .mean_drift         = m->memory->mean_drift * 0.03F,
                      .above_behind       = behind_scaled(most_above_behind(m)),
                      .level_above_behind = behind_scaled(rl_lines_level(m->lines, 0) - m->background->level),
                      .lows               = lows_scaled(m, m->tape->lows),
                      .lows_long          = lows_scaled(m, m->tape->lows_long),
                      .below_lately       = scaled(rl_lines_level(m->lines, 0) - m->lines->lately, -30, 0) + 1,
                      .one                = 1};
}

/* ---- a candidate ---- */

/* What is known of the lowest reed, alone and with its octave, if it is. */
static void
known_write(const RlMoment *const m, const RlReedState *const s, RlCandidateFigures *const f)
{
  const int pitch = m->reeds->note[s->note[0]].same;
  for (int known = 0; known < RL_KNOWN; ++known) {
    if (!rl_reed_known(m->memory, pitch, known)) {
      continue;
    }
    f->known[known] = 1;
    for (int i = 0; i < RL_KNOWN_PARTIALS; ++i) {
      const float more = rl_reed_beside_known(m->memory, m->reeds, pitch, known, m->lines, i);
      f->beside_known[known][i] = scaled(more, -20, 20);
    }
  }
}

/* How unsteady a line is: mean of the steps of its level from block to block over 85 ms. */
static float
unsteady(const RlMoment *const m, const int line)
{
  float sum = 0;
  for (int b = 0; line >= 0 && b < IN_85MS; b += 2) {
    sum += fabsf(rl_lines_fast(m->lines, b)[line] - rl_lines_fast(m->lines, b + 2)[line]);
  }
  return sum / 8;
}

static void
notes_write(const RlMoment *const m, const RlReedState *const s, RlCandidateFigures *const f)
{
  float rise[2] = {99, -99}, since = 99, fall[2] = {99, 99}, beside = 99, new_rise = 99,
        peak[2] = {99, -99};
  for (int i = 0; i < s->count; ++i) {
    const int   w = line_of(m, s->note[i]);
    const float a = m->fast[w] - m->fast_43ms[w], b = m->fast[w] - m->lines->peak[w];
    rise[0]  = rl_lesser(rise[0], a);
    rise[1]  = rl_greater(rise[1], a);
    since    = rl_lesser(since, m->fast[w] - m->fast_fall[w]);
    fall[0]  = rl_lesser(fall[0], m->fast[w] - m->fast_85ms[w]);
    fall[1]  = rl_lesser(fall[1], m->fast[w] - m->fast_171ms[w]);
    beside   = rl_lesser(beside, m->fast[w] - m->slow[w]);
    new_rise = rl_lesser(new_rise, last_rise(m, w));
    peak[0]  = rl_lesser(peak[0], b);
    peak[1]  = rl_greater(peak[1], b);
  }
  f->rise_least       = scaled(rise[0], -20, 20);
  f->rise_most        = scaled(rise[1], -20, 20);
  f->since_fall       = scaled(since, -20, 20);
  f->fall_85ms        = scaled(fall[0], -20, 20);
  f->fall_171ms       = scaled(fall[1], -20, 20);
  f->last_rise        = scaled(new_rise, -10, 15);
  f->fast_beside_slow = clamp(beside, -15, 15) * 0.15F;
  f->below_peak[0]    = scaled(peak[0], -30, 0) + 0.5F;
  f->below_peak[1]    = scaled(peak[1], -30, 0) + 0.5F;
}

static void
others_write(const RlMoment *const m, const RlReedState *const s, const RlCandidate *const x,
             RlCandidateFigures *const f)
{
  const RlReeds *const r      = m->reeds;
  const RlReedNote    *lowest = &r->note[s->note[0]];
  float                rise = 0, share = 0, hidden = -40, below = -40, behind = 40, others = -10;
  for (int i = 0; i < 8 && i < r->notes && m->of->order[FAST][i] >= 0; ++i) {
    const int k = m->of->order[FAST][i], w = line_of(m, k);
    if (!(s->explained >> k & 1) && m->fast[w] > m->of->loudest[FAST] - 20) {
      rise   = rl_greater(rise, m->fast[w] - m->fast_43ms[w]);
      others = rl_greater(others, above_behind(m, k));
    }
  }
  for (uint64_t left = s->explained; left; left &= left - 1) {
    share += m->power[__builtin_ctzll(left)];
  }
  for (const int *k = m->of->order[SLOW]; *k >= 0; ++k) { /* the loudest first */
    if (r->note[*k].hz < lowest->hz * 0.96F) {
      below = rl_greater(below, m->slow[line_of(m, *k)] - m->of->loudest[SLOW]);
      break;
    }
  }
  for (int i = 0; i < m->of->lives; ++i) {
    if (m->of->live[i] != x->state && !(r->state[m->of->live[i]].own & ~s->explained)) {
      hidden = rl_greater(hidden, m->of->live_weakest[i]);
    }
  }
  for (int i = 0; i < s->count; ++i) {
    behind = rl_lesser(behind, above_behind(m, s->note[i]));
  }
  f->above_behind        = behind_scaled(behind);
  f->others_above_behind = behind_scaled(others);
  f->unexplained_rise    = scaled(rise, 0, 20);
  f->explained    = scaled(3.0103F * rl_log2_near(share / (m->power_sum + 1e-9F) + 1e-14F), -20, 0);
  f->below        = rl_lesser(below, 10) * 0.1F + 1;
  f->hidden_chord = scaled(hidden - x->weakest[SLOW], -20, 20);
}

static void
partials_write(const RlMoment *const m, const RlReedState *const s, RlCandidateFigures *const f)
{
  const RlReedNote *const low = &m->reeds->note[s->note[0]];
  const int               top = line_of(m, s->note[s->count - 1]);
  float                   level[RL_REED_PARTIALS], most = -99;
  for (int i = 0; i < RL_REED_PARTIALS; ++i) {
    level[i] = low->line[i] >= 0 ? m->slow[low->line[i]] : silent;
    most     = rl_greater(most, level[i]);
  }
  for (int i = 0; i < RL_REED_PARTIALS; ++i) {
    f->partial[i] = scaled(level[i] - most, -30, 0) + 1;
  }
  f->second_beside_first = clamp(level[0] - level[1], -30, 30) * 0.05F;
  f->third_beside_second = clamp(level[2] - level[1], -30, 30) * 0.05F;
  f->even =
    scaled(rl_reed_even(low, m->lines) - rl_reed_even_usual(m->memory, m->reeds, low), -20, 20);
  f->even_beats     = clamp(unsteady(m, low->line[1]) - unsteady(m, low->line[0]), -4, 4) * 0.5F;
  f->top_beside_low = clamp(m->slow[top] - level[0], -30, 30) * 0.05F;
}

/* How far the second partial moved beside the first; 0 if one of them did not sound then. */
static float
sway(const RlMoment *const m, const RlReedNote *const n, const int blocks)
{
  if (n->line[1] < 0) {
    return 0;
  }
  const float *const then   = rl_lines_fast(m->lines, blocks);
  const float        first  = m->fast[n->line[0]] - then[n->line[0]];
  const float        second = m->fast[n->line[1]] - then[n->line[1]];
  const bool         before = first < 10 && second < 15 && second > -15;
  return before ? rl_lesser(12, fabsf(second - first)) * 0.15F : 0;
}

static void
beats_write(const RlMoment *const m, const RlReedState *const s, RlCandidateFigures *const f)
{
  const int         k   = m->reeds->note[s->note[0]].same;
  const RlReedNote *low = &m->reeds->note[k];
  for (int i = 0; i < 4; ++i) {
    f->locked[i] = rl_beats_locked(m->beats, RL_BEAT_SECOND, k, (IN_43MS << i) - i / 3);
  }
  f->fourth_locked = rl_beats_locked(m->beats, RL_BEAT_FOURTH, k, IN_85MS);
  for (int i = 0; i < RL_BEAT_MEANS; ++i) {
    f->locked_mean[i] = m->beats->mean[i][k];
  }
  f->third_locked = rl_beats_locked(m->beats, RL_BEAT_THIRD, k, IN_85MS);
  f->sways[0]     = sway(m, low, IN_85MS);
  f->sways[1]     = sway(m, low, IN_171MS);
}

static void
lags_write(const RlMoment *const m, const RlReedState *const s, const RlCandidate *const x,
           RlCandidateFigures *const f)
{
  const float lag  = s->count == 1 ? x->lag[0] : m->reeds->note[s->note[0]].lag;
  const float slow = fit(x->left[RL_LONG]);
  f->half_lag      = fit(1 - rl_tape_between(m->tape, RL_LONG, lag * 0.5F)) - 1;
  f->double_lag    = fit(1 - rl_tape_between(m->tape, RL_LONG, lag * 2)) - slow;
  if (s->count == 1) {
    f->off_tune = clamp(off_tune(m, s->note[0]), 0, 60) * 0.03F;
    f->drift    = rl_lesser(100, drift_of(m, s->note[0])) * 0.02F;
    return;
  }
  const float common = s->common > 0 ? 1 - rl_tape_between(m->tape, RL_LONG, s->common) : 1;
  f->common          = fit(clamp(common, 0, 2)) - 1;
  f->bent            = x->bent * 300;
}

static float
octave_of(const RlMoment *const m, const int note)
{
  return rl_log2_near(m->reeds->note[note].lag * (1200.0F / RL_EAR_RATE));
}

static void
candidate_write(const RlMoment *const m, const RlCandidate *const x, RlCandidateFigures *const f)
{
  const RlReedState *const s = &m->reeds->state[x->state];
  memset(f, 0, sizeof(*f));
  f->fit[SLOW]             = fit(x->left[RL_LONG]) - 1.5F;
  f->fit[FAST]             = fit(x->left[RL_SHORT]) - 1.5F;
  f->fit_beside_best[SLOW] = f->fit[SLOW] + 1.5F - fit(m->of->best[RL_LONG]);
  f->fit_beside_best[FAST] = f->fit[FAST] + 1.5F - fit(m->of->best[RL_SHORT]);
  for (int w = SLOW; w <= FAST; ++w) {
    f->weakest[w]     = scaled(x->weakest[w], -40, 0) + 1;
    f->unexplained[w] = scaled(x->unexplained[w], -40, 0) + 1;
  }
  for (int i = 0; i < 2; ++i) {
    f->fit_new[i]             = fit_new(x->left[RL_SHORTEST - i]);
    f->fit_new_beside_best[i] = f->fit_new[i] - fit_new(m->of->best[RL_SHORTEST - i]);
  }
  f->lowest         = octave_of(m, s->note[0]);
  f->highest        = octave_of(m, s->note[s->count - 1]);
  f->kind[s->kind]  = 1;
  f->level          = scaled(m->level, -38, 10) + 0.5F;
  f->below_top      = scaled(m->below_top, -20, 0);
  f->rise_21ms      = scaled(m->rise_21ms, -15, 15);
  f->rise_85ms      = scaled(m->rise_85ms, -15, 15);
  f->rise_171ms     = scaled(m->rise_171ms, -15, 15);
  f->steepest_ago   = (float)m->steepest_ago / IN_FALL;
  f->steepest_fall  = scaled(m->steepest_fall, -15, 0);
  f->since_steepest = scaled(m->since_steepest, -15, 15);
  f->one            = 1;
  notes_write(m, s, f);
  others_write(m, s, x, f);
  partials_write(m, s, f);
  known_write(m, s, f);
  beats_write(m, s, f);
  lags_write(m, s, x, f);
}

void
rl_figures_make(const RlCandidates *const candidates, const RlReeds *const reeds,
                const RlTape *const tape, const RlLines *const lines, const RlBeats *const beats,
                const RlBackground *const background, const RlHarpTuning *const tuning,
                const float reference, RlReedMemory *const memory,
                RlCandidateFigures *const figures, RlMomentFigures *const moment)
{
  RlMoment m = {.of         = candidates,
                .reeds      = reeds,
                .tape       = tape,
                .lines      = lines,
                .beats      = beats,
                .background = background,
                .tuning     = tuning,
                .memory     = memory,
                .slow       = lines->slow,
                .fast       = rl_lines_fast(lines, 0),
                .fast_43ms  = rl_lines_fast(lines, IN_43MS),
                .fast_85ms  = rl_lines_fast(lines, IN_85MS),
                .fast_171ms = rl_lines_fast(lines, IN_171MS)};
  levels_look(&m, reference);
  powers_look(&m);
  memory_turn(&m);
  moment_write(&m, moment);
  for (int i = 0; i < candidates->count; ++i) {
    candidate_write(&m, &candidates->candidate[i], &figures[i]);
  }
}
