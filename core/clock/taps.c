/* SPDX-License-Identifier: ISC */
#include "core/clock/taps.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* Seconds: taps closer than `bounce` are one (debounce), taps further apart than `pause` begin a
   new run. Common practice, no source. */
static const double bounce = 0.15, pause = 2.0;

/* A tap further than this from a beat, as a part of a beat, is an outlier. */
static const double outlier = 0.2;

static const double default_tempo = 120; /* Standard MIDI Files 1.0, where no tempo is set */

void
rl_taps_init(RlTaps *const taps, const double rate)
{
  assert(taps && rate > 0);
  memset(taps, 0, sizeof(*taps));
  taps->line.rate = rate;
}

RlPulse
rl_taps_pulse(const RlTaps *const t, const int64_t ahead)
{
  return rl_felt_line_pulse(&t->line, t->now + ahead);
}

/* ---- tempo and phase of the taps ---- */

static double
median(double *const values, const int count)
{
  for (int i = 1; i < count; ++i) {
    const double value = values[i];
    int          k     = i;
    for (; k > 0 && values[k - 1] > value; --k) {
      values[k] = values[k - 1];
    }
    values[k] = value;
  }
  return (values[count / 2] + values[(count - 1) / 2]) / 2;
}

/* A chain: taps that follow each other in whole beats. */
typedef struct {
  int    tap[RL_TAPS_MAX];   /* indices, the oldest first */
  int    beats[RL_TAPS_MAX]; /* from the tap before */
  int    count;
  double score;
} Chain;

/* The chain with the best score for a beat of `interval` frames, by dynamic programming over the
   taps. Each tap adds 1, a later one a little more; its distance from a beat costs twice that part
   of a beat, beats left out before it cost `gap`. Outliers are skipped. */
static Chain
chain_of(const RlTaps *const t, const double interval)
{
  static const double late = 0.05, off = 2, gap = 0.7;
  Chain               best = {.count = 0};
  Chain               chain[RL_TAPS_MAX]; /* the best that ends in each tap */
  for (int k = 0; k < t->count; ++k) {
    Chain end   = {.count = 0};
    int   apart = 0;
    for (int i = 0; i < k; ++i) {
      const double far   = (double)(t->tap[k] - t->tap[i]) / interval;
      const double beats = round(far);
      const double miss  = fabs(far - beats);
      const double worth = 1 + late * k - off * miss - (beats > 1 ? gap : 0);
      if (beats >= 1 && miss <= outlier && chain[i].score + worth > end.score) {
        end       = chain[i];
        end.score = chain[i].score + worth;
        apart     = (int)beats;
      }
    }
    end.tap[end.count]     = k;
    end.beats[end.count++] = apart;
    chain[k]               = end;
    best                   = end.score >= best.score ? end : best;
  }
  return best;
}

/* The median interval of the chain, in frames a beat, at least `bounce`. */
static double
interval_of(const RlTaps *const t, const Chain *const chain)
{
  double all[RL_TAPS_MAX];
  for (int i = 1; i < chain->count; ++i) {
    const int64_t frames = t->tap[chain->tap[i]] - t->tap[chain->tap[i - 1]];
    all[i - 1]           = (double)frames / chain->beats[i];
  }
  return fmax(bounce * t->line.rate, median(all, chain->count - 1));
}

/* The best chain near `interval`: once more with the median interval of the first one found. */
static Chain
chain_near(const RlTaps *const t, const double interval)
{
  const Chain rough = chain_of(t, interval);
  return rough.count > 1 ? chain_of(t, interval_of(t, &rough)) : rough;
}

/* The best of the chains that any two neighbouring taps suggest, and that of the running beat; of
   equal ones the nearest to the median of all intervals. Two taps make a chain. */
static Chain
chain_best(const RlTaps *const t)
{
  static const double so_far = 1, odd = 0.01;
  double              all[RL_TAPS_MAX];
  for (int i = 1; i < t->count; ++i) {
    all[i - 1] = (double)(t->tap[i] - t->tap[i - 1]);
  }
  const double middle = median(all, t->count - 1);
  Chain        best   = {.count = 0};
  if (t->line.rolling && !t->counts_in) {
    best = chain_near(t, t->line.interval);
    best.score += so_far;
  }
  for (int i = 1; i < t->count; ++i) {
    for (int k = i > 2 ? i - 2 : 0; k < i; ++k) {
      const double interval = (double)(t->tap[i] - t->tap[k]);
      Chain        chain    = chain_near(t, interval);
      chain.score -= fmin(odd, odd * fabs(interval - middle) / middle);
      best = best.count < 2 || (chain.count > 1 && chain.score > best.score) ? chain : best;
    }
  }
  return best;
}

/* The frame, with fraction, of the beat that the chain's last tap belongs to: the median of what
   its last three taps say. */
static double
beat_of(const RlTaps *const t, const Chain *const chain, const double interval)
{
  enum { LAST = 3 };
  double        off[LAST];
  const int     last  = chain->count - 1;
  const int64_t frame = t->tap[chain->tap[last]];
  int           count = 0;
  double        due   = 0; /* frames from the last tap, backwards */
  for (int i = last; i >= 0 && count < LAST; --i) {
    off[count++] = (double)(t->tap[chain->tap[i]] - frame) + due;
    due += chain->beats[i] * interval;
  }
  return (double)frame + median(off, count);
}

static int
beats_in(const Chain *const chain)
{
  int beats = 0;
  for (int i = 1; i < chain->count; ++i) {
    beats += chain->beats[i];
  }
  return beats;
}

/* May the chain change the tempo of running music? Three taps or more, no beat left out. */
static bool
convinces(const Chain *const chain)
{
  return chain->count > 2 && beats_in(chain) == chain->count - 1;
}

/* ---- what a tap does ---- */

static void
tap_keep(RlTaps *const t)
{
  if (t->count == RL_TAPS_MAX) {
    memmove(t->tap, t->tap + 1, sizeof(t->tap[0]) * (RL_TAPS_MAX - 1));
    --t->count;
    t->counts_in = false;
  }
  t->tap[t->count++] = t->now;
}

/* Two or more taps. In a run that counts in, the first tap of the chain is four felt beats before
   bar 1, beat 1. Later runs only say where beats are. */
static void
taps_follow(RlTaps *const t)
{
  const Chain chain = chain_best(t);
  if (chain.count < 2) {
    return;
  }
  const double interval = interval_of(t, &chain);
  const double beat     = beat_of(t, &chain, interval);
  const double since    = ((double)t->now - beat) / interval;
  const double here     = rl_taps_pulse(t, 0).felt;
  const bool   nearly   = fabs(interval - t->line.interval) <= outlier * t->line.interval;
  if (!t->line.rolling) {
    rl_felt_line_begin(&t->line, t->now, since + beats_in(&chain) - RL_COUNT_IN, interval);
  } else if (t->counts_in) {
    rl_felt_line_steer(&t->line, t->now, since + beats_in(&chain) - RL_COUNT_IN, interval);
  } else if (nearly || convinces(&chain)) {
    rl_felt_line_steer(&t->line, t->now, round(here - since) + since, interval);
  }
  t->line.sure = fminf(0.9F, 0.4F + 0.1F * (float)chain.count);
}

/* The first tap of a run while the music rolls moves the beat if it is near one. */
static void
tap_nudge(RlTaps *const t)
{
  const double here = rl_taps_pulse(t, 0).felt;
  if (fabs(here - round(here)) <= outlier) {
    rl_felt_line_steer(&t->line, t->now, round(here), t->line.interval);
  }
}

void
rl_taps_tap(RlTaps *const t)
{
  const double since = t->count ? (double)(t->now - t->tap[t->count - 1]) : HUGE_VAL;
  if (since < bounce * t->line.rate) {
    return;
  }
  if (since > fmax(pause * t->line.rate, t->line.rolling ? 2.5 * t->line.interval : 0)) {
    t->count = 0;
  }
  t->counts_in = t->count ? t->counts_in : !t->line.rolling;
  tap_keep(t);
  if (t->count > 1) {
    taps_follow(t);
  } else if (t->line.rolling) {
    tap_nudge(t);
  }
}

void
rl_taps_start(RlTaps *const t, const double tempo)
{
  const double minute = 60 * t->line.rate;
  rl_felt_line_begin(&t->line, t->now, 0,
                     t->line.interval > 0 ? t->line.interval
                                          : minute / (tempo > 0 ? tempo : default_tempo));
  t->count     = 0;
  t->line.sure = fmaxf(t->line.sure, 0.3F);
}

void
rl_taps_stop(RlTaps *const t)
{
  rl_felt_line_stop(&t->line, t->now);
  t->count = 0;
}
