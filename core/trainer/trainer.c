/* SPDX-License-Identifier: ISC */
#include "core/trainer/trainer.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const float near_cents[RL_NEARNESSES] = {10, 20};
static const float tick_time                 = 1.0F / RL_GRID;

enum {
  GAP         = 6,   /* silent ticks that end a try: 0.15 s */
  REACHED     = 4,   /* ticks within 20 cents: 0.1 s */
  LEAST       = 12,  /* ticks of a try that is kept: 0.3 s */
  LOOKS       = 5,   /* ticks from one look for vibrato to the next */
  STRAY       = 50,  /* cents off that still count for the mean */
  NEAR_ENOUGH = 70,  /* cents off: it went somewhere */
  CAME_NEARER = 30,  /* likewise, against where it began */
  LONGEST     = 4000 /* ticks: a hundred seconds */
};

/* Seconds: that a change of pitch takes at most, that what is told goes back at most, and without
   any news. */
static const double longest_step = 0.05, late = 0.2, longest_gap = 10;

bool
rl_try_held(const RlTry *const one)
{
  return one->longest[RL_ROUGH] >= 1;
}

void
rl_trainer_begin(RlTrainer *const t, const RlAim aim)
{
  memset(t, 0, sizeof(*t));
  t->aim = aim;
}

/* ---- the trace ---- */

/* Half as many points, each for twice the time. */
static void
trace_halve(RlTrainer *const t)
{
  int16_t *const at = t->now.trace;
  for (int i = 0; i < RL_TRY_TRACE / 2; ++i) {
    const int a = at[2 * i];
    const int b = at[2 * i + 1];
    at[i]       = (int16_t)(a == RL_TRY_SILENT ? b : b == RL_TRY_SILENT ? a : (a + b) / 2);
  }
  t->now.points = RL_TRY_TRACE / 2;
  t->per *= 2;
  t->now.pace *= 2;
}

static void
trace_add(RlTrainer *const t, const bool sounds, const float off)
{
  t->gathered += sounds ? fminf(fmaxf(off, -RL_TRY_LIMIT), RL_TRY_LIMIT) : 0;
  t->gathered_sound += sounds;
  ++t->pending;
  if (t->now.points == RL_TRY_TRACE && t->pending == t->per) {
    trace_halve(t); /* this point goes on for as long again */
  }
  if (t->pending < t->per) {
    return;
  }
  t->now.trace[t->now.points++] =
    (int16_t)(t->gathered_sound ? lroundf(t->gathered / (float)t->gathered_sound) : RL_TRY_SILENT);
  t->pending = t->gathered_sound = 0;
  t->gathered                    = 0;
}

/* ---- a try ---- */

static void
try_begin(RlTrainer *const t, const float off)
{
  memset(&t->now, 0, sizeof(t->now));
  t->now.pace = tick_time;
  t->ticks = t->silent = t->side = t->settled = t->windowed = t->vibratos = 0;
  t->run[RL_NEAR] = t->run[RL_ROUGH] = 0;
  t->sum = t->squares = t->vibrato_hz = t->vibrato_cents = 0;
  t->per                                                 = 1;
  t->pending = t->gathered_sound = 0;
  t->gathered                    = 0;
  t->first = t->nearest = fabsf(off);
}

/* How far off a zone, or a point. */
static float
beside(const RlTrainer *const t, const float off)
{
  return fmaxf(fabsf(off) - t->aim.room, 0);
}

static void
hold(RlTrainer *const t, const float away)
{
  RlTry *const one = &t->now;
  for (int i = 0; i < RL_NEARNESSES; ++i) {
    t->run[i] = away <= near_cents[i] ? t->run[i] + 1 : 0;
    one->held[i] += t->run[i] ? tick_time : 0;
    one->longest[i] = fmaxf(one->longest[i], (float)t->run[i] * tick_time);
  }
}

static void
reach(RlTrainer *const t, const float away, const float off)
{
  RlTry *const one = &t->now;
  if (one->reached == RL_REACHED_NOT && t->run[RL_ROUGH] == REACHED) {
    const int before = t->ticks - REACHED; /* ticks until it was there */
    one->reached     = before < REACHED || !t->side ? RL_REACHED_AT_ONCE
                       : t->side > 0                ? RL_REACHED_FROM_ABOVE
                                                    : RL_REACHED_FROM_BELOW;
    one->reached_in  = (float)before * tick_time;
  }
  if (away > near_cents[RL_ROUGH]) {
    t->side = off > 0 ? 1 : -1;
  }
  if (one->reached != RL_REACHED_NOT && away <= STRAY) {
    ++t->settled;
    t->sum += (double)off;
    t->squares += (double)off * (double)off;
    const double mean = t->sum / t->settled;
    one->settled      = true;
    one->mean         = (float)mean;
    one->spread       = (float)sqrt(fmax(0, t->squares / t->settled - mean * mean));
  }
}

/* What straight lines between news leave of a vibrato: sinc squared, the transfer of a triangle. */
static double
kept_of(const RlTrainer *const t, const double hz)
{
  const double x = 3.141592653589793 * hz * t->news;
  return x > 1e-6 ? sin(x) * sin(x) / (x * x) : 1;
}

static void
vibrato_look(RlTrainer *const t, const float off)
{
  RlVibrato found;
  memmove(t->window, t->window + 1, sizeof(t->window) - sizeof(t->window[0]));
  t->window[RL_GRID - 1] = off;
  if (++t->windowed >= RL_GRID && t->windowed % LOOKS == 0 && rl_vibrato_find(t->window, &found)) {
    ++t->vibratos;
    t->vibrato_hz += (double)found.hz;
    t->vibrato_cents += (double)found.cents / kept_of(t, (double)found.hz);
    t->now.vibrato =
      (RlVibrato){(float)(t->vibrato_hz / t->vibratos), (float)(t->vibrato_cents / t->vibratos)};
    t->now.vibrato_seconds += LOOKS * tick_time;
  }
}

/* A tick of sound; silence before it belongs to the try. */
static void
sound_tick(RlTrainer *const t, const float off)
{
  if (t->now.seconds <= 0) {
    try_begin(t, off);
  }
  for (; t->silent; --t->silent) {
    ++t->ticks;
    trace_add(t, false, 0);
    t->windowed = 0;
  }
  ++t->ticks;
  t->now.seconds = (float)t->ticks * tick_time;
  t->nearest     = fminf(t->nearest, fabsf(off));
  trace_add(t, true, off);
  hold(t, beside(t, off));
  reach(t, beside(t, off), off);
  vibrato_look(t, off);
}

static bool
try_end(RlTrainer *const t)
{
  const bool somewhere =
    t->nearest - t->aim.room <= NEAR_ENOUGH || t->first - t->nearest >= CAME_NEARER;
  const bool kept = t->ticks >= LEAST && somewhere;
  if (kept) {
    memmove(&t->last[1], &t->last[0], sizeof(t->last[0]) * (RL_TRIES_KEPT - 1));
    t->last[0] = t->now;
    t->count   = t->count < RL_TRIES_KEPT ? t->count + 1 : RL_TRIES_KEPT;
  }
  t->now.seconds = 0;
  t->silent      = 0;
  return kept;
}

static bool
silent_tick(RlTrainer *const t)
{
  t->run[RL_NEAR] = t->run[RL_ROUGH] = 0;
  return t->now.seconds > 0 && ++t->silent >= GAP && try_end(t);
}

/* ---- the grid ---- */

static bool
heard_anew(RlTrainer *const t, const double time)
{
  const bool kept = t->now.seconds > 0 && try_end(t);
  t->began        = true;
  t->begun        = time;
  t->tick         = 0;
  t->ticks        = 0;
  return kept;
}

/* What is heard holds until it is told otherwise; what changes does so in a straight line, over a
   step at most. */
static float
line_at(const RlTrainer *const t, const double at, const double time, const float off)
{
  const double step = fmin(time - t->heard, longest_step);
  const double part = step > 0 ? fmax(0, 1 - (time - at) / step) : 1;
  return t->was + (float)part * (off - t->was);
}

static bool
ticks_pass(RlTrainer *const t, const double time, const bool sounds, const float off)
{
  const long last = (long)floor((time - t->begun) * RL_GRID);
  bool       kept = false;
  for (; t->tick <= last; ++t->tick) {
    const double at = t->begun + (double)t->tick / RL_GRID;
    if (t->sounded) {
      sound_tick(t, sounds ? line_at(t, at, time, off) : t->was);
    } else {
      kept = silent_tick(t) || kept;
    }
  }
  return kept;
}

bool
rl_trainer_hear(RlTrainer *const t, const double told, const bool sounds, const float off)
{
  assert(isfinite(told));
  const bool   good = sounds && isfinite(off);
  const double time = t->began && told < t->heard && told > t->heard - late ? t->heard : told;
  const double gap  = time - t->heard;
  const bool   anew = !t->began || gap < 0 || gap > longest_gap || t->ticks > LONGEST;
  const bool   kept = anew ? heard_anew(t, time) : ticks_pass(t, time, good, off);
  if (!anew && t->sounded && good && gap > 0 && gap <= longest_step) {
    t->news += (t->news > 0 ? 0.05 : 1) * (gap - t->news);
  }
  t->heard   = time;
  t->sounded = good;
  t->was     = good ? off : 0;
  return kept;
}
