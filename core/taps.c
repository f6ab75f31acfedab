#include "taps.h"

#include <math.h>
#include <string.h>

/* Seconds. A foot does not tap faster than a bounce nor keep a beat slower than the pause. */
static const double bounce = 0.15, pause = 2.0;

/* A tap or an interval this far from the others (as a part of the beat) is wild. */
static const double wild = 0.25;

static const double default_tempo = 120; /* Standard MIDI Files 1.0, where no tempo is set */

void
rl_taps_init(RlTaps *const taps, const double rate)
{
  memset(taps, 0, sizeof(*taps));
  taps->rate = rate;
}

void
rl_taps_advance(RlTaps *const taps, const int64_t frames)
{
  taps->now += frames;
}

RlPulse
rl_taps_pulse(const RlTaps *const t, const int64_t ahead)
{
  const double at      = (double)(t->now + ahead - t->at);
  const bool   bending = at < t->bend;
  const double steady  = t->interval > 0 ? 1 / t->interval : 0;
  RlPulse      pulse   = {.known = t->known, .rolling = t->rolling, .sure = t->sure};
  pulse.felt           = !t->rolling ? t->from
                         : bending   ? t->from + t->slope * at
                                     : t->target + (at - t->bend) * steady;
  pulse.per_frame      = !t->rolling ? 0 : bending ? t->slope : steady;
  pulse.tempo          = steady * t->rate * 60;
  return pulse;
}

/* ---- what the taps say ---- */

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

/* The median interval. One that spans several beats (a tap left out) counts as that many, one that
   fits no number of beats not at all. */
static double
interval_of(const RlTaps *const t)
{
  double all[RL_TAPS_MAX]  = {0};
  double kept[RL_TAPS_MAX] = {0};
  int    count             = 0;
  for (int i = 1; i < t->count; ++i) {
    all[i - 1]  = (double)(t->tap[i] - t->tap[i - 1]);
    kept[i - 1] = all[i - 1];
  }
  const double middle = median(kept, t->count - 1);
  for (int i = 0; i < t->count - 1; ++i) {
    const double beats = fmax(1, round(all[i] / middle));
    if (fabs(all[i] / beats - middle) <= wild * middle) {
      kept[count++] = all[i] / beats;
    }
  }
  return count ? median(kept, count) : middle;
}

/* -0.5 up to 0.5: how far (in beats) `frames` is from a whole number of beats. */
static double
residue(const double frames, const double interval)
{
  return frames / interval - round(frames / interval);
}

/* A frame (it may lie between two) on which a beat falls: the tap that agrees best with the others,
   put right by the middle one of their residues. */
static double
beat_of(const RlTaps *const t, const double interval)
{
  double best  = HUGE_VAL;
  double phase = 0;
  for (int i = 0; i < t->count; ++i) {
    double residues[RL_TAPS_MAX] = {0};
    double sum                   = 0;
    for (int k = 0; k < t->count; ++k) {
      residues[k] = residue((double)(t->tap[k] - t->tap[i]), interval);
      sum += fabs(residues[k]);
    }
    if (sum < best) {
      best  = sum;
      phase = (double)t->tap[i] + median(residues, t->count) * interval;
    }
  }
  return phase;
}

/* ---- the line ---- */

/* Be at `felt` now, and go on in `interval`: forwards at once if it is far, otherwise within the
   next beat; never backwards, but standing still until the music has caught up. */
static void
steer(RlTaps *const t, const double felt, const double interval)
{
  const double here = rl_taps_pulse(t, 0).felt;
  const double off  = felt - here;
  const bool   leap = off > 0.5;
  const bool   wait = off < -0.5;
  t->interval       = interval;
  t->at             = t->now;
  t->from           = leap ? felt : here;
  t->bend           = leap ? 0 : wait ? -off * interval : interval;
  t->target         = leap ? felt : wait ? here : felt + 1;
  t->slope          = wait ? 0 : (felt + 1 - here) / interval;
}

static void
begin(RlTaps *const t, const double felt, const double interval)
{
  t->interval = interval;
  t->known    = true;
  t->rolling  = true;
  t->at       = t->now;
  t->from     = felt;
  t->target   = felt;
  t->bend     = 0;
}

static void
tap_keep(RlTaps *const t)
{
  if (t->count == RL_TAPS_MAX) {
    memmove(t->tap, t->tap + 1, sizeof(t->tap[0]) * (RL_TAPS_MAX - 1));
    --t->count;
  }
  t->tap[t->count++] = t->now;
}

/* Two or more taps: where do they put the music now? */
static void
taps_follow(RlTaps *const t)
{
  const double interval = interval_of(t);
  const double beat     = beat_of(t, interval);
  const double since    = ((double)t->now - beat) / interval;
  const double here     = rl_taps_pulse(t, 0).felt;
  const double counted  = since + round((beat - (double)t->first) / interval) - RL_COUNT_IN;
  if (!t->rolling) {
    begin(t, counted, interval);
  } else if (here < 0 && t->first >= t->tap[0]) {
    steer(t, counted, interval);
  } else if (t->count > 2 || fabs(interval - t->interval) <= wild * t->interval) {
    steer(t, round(here - since) + since, interval);
  }
  t->sure = fminf(0.9F, 0.4F + 0.1F * (float)t->count);
}

/* A first tap while the music runs: it moves the beat if it is near one. */
static void
tap_nudge(RlTaps *const t)
{
  const double here = rl_taps_pulse(t, 0).felt;
  if (fabs(here - round(here)) <= wild) {
    steer(t, round(here), t->interval);
  }
}

void
rl_taps_tap(RlTaps *const t)
{
  const double since = t->count ? (double)(t->now - t->tap[t->count - 1]) : HUGE_VAL;
  if (since < bounce * t->rate) {
    return;
  }
  if (since > fmax(pause * t->rate, t->rolling ? 2.5 * t->interval : 0)) {
    t->count = 0;
  }
  tap_keep(t);
  if (!t->rolling && t->count == 1) {
    t->first = t->now;
  }
  if (t->count > 1) {
    taps_follow(t);
  } else if (t->rolling) {
    tap_nudge(t);
  }
}

void
rl_taps_start(RlTaps *const t, const double tempo)
{
  const double minute = 60 * t->rate;
  begin(t, 0, t->interval > 0 ? t->interval : minute / (tempo > 0 ? tempo : default_tempo));
  t->count = 0;
  t->sure  = fmaxf(t->sure, 0.3F);
}

void
rl_taps_stop(RlTaps *const t)
{
  t->from    = rl_taps_pulse(t, 0).felt;
  t->rolling = false;
  t->count   = 0;
}
