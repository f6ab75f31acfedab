/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/line.h"

#include <math.h>
#include <stdbool.h>

enum {
  PITCHES = RL_LIFT_PITCHES,
  STATES  = RL_LIFT_STATES,
  /* where a state came from, if not from a pitch */
  HELD    = -1,
  RESTED  = -2,
  NOWHERE = -3
};

static const float never = -1e9F;

/* Natural logarithms, tuned. */
static const float heard_weight = 0.12F, /* frames are far from independent */
  faintest = -7, begin_weight = 3.4F, begin_bias = 1, begin_most = 4, foreign_cost = 0.25F,
                   step_cost = 1.875F, /* of an octave; less in proportion */
  octave_cost = 2, again_cost = 0.5F, note_cost = 5, rest_cost = 3.5F;

/* ---- the grid ---- */

/* How usual it is that a note begins on a twelfth of the beat. */
static const float swung[RL_LIFT_TWELFTHS]    = {.42F, .004F, .01F, .03F, .12F, .004F,
                                                 .03F, .008F, .32F, .03F, .01F, .004F},
                   straight[RL_LIFT_TWELFTHS] = {.42F, .004F, .01F, .075F, .04F, .004F,
                                                 .30F, .008F, .04F, .075F, .01F, .004F};
static const float straight_up_to = 0.52F, fast = 0.42F /* seconds a beat */;

static bool
is_swung_off_beat(const int k, const RlLiftPlayed *const played)
{
  return k == 8 && played->swing > straight_up_to;
}

float
rl_lift_place(const int k, const RlLiftPlayed *const played)
{
  return is_swung_off_beat(k, played) ? played->swing : (float)k / RL_LIFT_TWELFTHS;
}

float
rl_lift_usual(const int k, const RlLiftPlayed *const played, const float beat)
{
  const float usual     = played->swing > straight_up_to ? swung[k] : straight[k];
  const bool  sixteenth = k % 3 == 0 && k % 2 == 1;
  return sixteenth && beat < fast ? usual * 0.2F : usual;
}

float
rl_lift_spread(const int k, const RlLiftPlayed *const played, const float beat)
{
  return is_swung_off_beat(k, played) ? fmaxf(played->spread, 0.035F * beat) : played->spread;
}

float
rl_lift_on_grid(const double at, const float beat, const RlLiftPlayed *const played)
{
  const double beats   = (at - (double)played->behind) / (double)beat;
  const float  phase   = (float)(beats - floor(beats));
  float        density = .06F / beat;
  for (int k = 0; k < RL_LIFT_TWELFTHS; ++k) {
    const float spread = rl_lift_spread(k, played, beat);
    float       off    = phase - rl_lift_place(k, played);
    off                = (off - roundf(off)) * beat / spread;
    density += .94F * rl_lift_usual(k, played, beat) * expf(-.5F * off * off) / (spread * 2.5066F);
  }
  return logf(density * beat);
}

void
rl_lift_prior(const RlLiftGrid *const grid, const RlLiftPlayed *const played, const int frames,
              float *const prior)
{
  for (int t = 0; t < frames; ++t) {
    prior[t] =
      grid->beat > 0 ? rl_lift_on_grid(t * .01 - grid->origin, (float)grid->beat, played) : 0;
  }
}

unsigned
rl_lift_scale_at(const RlLiftGrid *const grid, const int frame)
{
  if (grid->beats < 1 || grid->beat <= 0) {
    return grid->beats == 1 ? grid->scale[0] : 0xFFF;
  }
  const double beat = (frame * .01 - grid->origin) / grid->beat + .12; /* a little early counts */
  const int    n    = (int)fmod(floor(beat), grid->beats);
  return grid->scale[n < 0 ? n + grid->beats : n];
}

/* ---- the path ---- */

/* The best score up to a frame, by what sounds there, and where it came from. */
typedef struct {
  float *held;      /* [rows][PITCHES] */
  short *held_from; /* HELD, RESTED, NOWHERE, or the pitch before */
  float *rest;      /* [rows] */
  short *rest_from; /* HELD: rested before; or the pitch that ended */
  float *sum;       /* [frames + 1][STATES]: of what was heard up to a frame */
  float  interval[PITCHES][PITCHES];
} Path;

static void
path_take(Path *const path, const int frames, RlLiftRoom *const room)
{
  const size_t rows = (size_t)frames + RL_LIFT_SHORTEST + 1;
  path->held        = rl_lift_take(room, rows * PITCHES, sizeof(float));
  path->held_from   = rl_lift_take(room, rows * PITCHES, sizeof(short));
  path->rest        = rl_lift_take(room, rows, sizeof(float));
  path->rest_from   = rl_lift_take(room, rows, sizeof(short));
  path->sum         = rl_lift_take(room, ((size_t)frames + 1) * STATES, sizeof(float));
}

static void
path_begin(Path *const path, const RlLiftHeard *const heard)
{
  const int rows = heard->frames + RL_LIFT_SHORTEST + 1;
  for (int i = 0; i < rows * PITCHES; ++i) {
    path->held[i]      = never;
    path->held_from[i] = NOWHERE;
  }
  for (int i = 0; i < rows; ++i) {
    path->rest[i]      = i ? never : 0;
    path->rest_from[i] = HELD;
  }
  for (int s = 0; s < STATES; ++s) {
    path->sum[s] = 0;
  }
  for (int i = 0; i < heard->frames * STATES; ++i) {
    path->sum[i + STATES] = path->sum[i] + heard_weight * fmaxf(heard->holds[i], faintest);
  }
  for (int q = 0; q < PITCHES; ++q) {
    for (int p = 0; p < PITCHES; ++p) {
      const int   step = rl_lift_apart(p - q), near = step < 12 ? step : 12;
      const float cost     = step_cost * (float)near / 12 + (step == 12 ? octave_cost : 0);
      path->interval[q][p] = step ? -cost : -again_cost;
    }
  }
}

/* What was heard of a state from one frame up to another. */
static float
heard_of(const Path *const path, const int from, const int to, const int state)
{
  return path->sum[to * STATES + state] - path->sum[from * STATES + state];
}

/* Notes and the rest go on. */
static void
frame_hold(Path *const path, const int t)
{
  const float *const now  = path->held + t * PITCHES;
  float *const       next = path->held + (t + 1) * PITCHES;
  int                best = 0;
  for (int p = 0; p < PITCHES; ++p) {
    const float score = now[p] + heard_of(path, t, t + 1, p);
    best              = now[p] > now[best] ? p : best;
    if (score > next[p]) {
      next[p]                                = score;
      path->held_from[(t + 1) * PITCHES + p] = HELD;
    }
  }
  const float stays = path->rest[t], ends = now[best] - rest_cost;
  const float score = fmaxf(stays, ends) + heard_of(path, t, t + 1, PITCHES);
  if (score > path->rest[t + 1]) {
    path->rest[t + 1]      = score;
    path->rest_from[t + 1] = ends > stays ? (short)best : HELD;
  }
}

/* A note begins, behind a rest or another note, and lasts for its shortest time. */
static void
frame_begin(const RlLiftTask *const task, Path *const path, const int t)
{
  const float *const now   = path->held + t * PITCHES;
  const unsigned     scale = rl_lift_scale_at(task->grid, t);
  for (int p = 0; p < PITCHES; ++p) {
    float best = path->rest[t];
    short from = RESTED;
    for (int q = 0; q < PITCHES; ++q) {
      const float score = now[q] + path->interval[q][p];
      if (score > best) {
        best = score;
        from = (short)q;
      }
    }
    const float begins =
      fminf(fmaxf(task->heard->begins[t * PITCHES + p] + begin_bias, -begin_most), begin_most);
    const float foreign = scale >> (p + RL_LIFT_LOWEST) % 12 & 1 ? 0 : foreign_cost;
    const float score = best + heard_of(path, t, t + RL_LIFT_SHORTEST, p) + begin_weight * begins +
                        task->weight * task->prior[t] - foreign - note_cost;
    const int row = (t + RL_LIFT_SHORTEST) * PITCHES + p;
    if (score > path->held[row]) {
      path->held[row]      = score;
      path->held_from[row] = from;
    }
  }
}

/* The best end's way back, notes in order of time. */
static int
path_follow(const Path *const path, const int frames, RlLiftSpan *const span)
{
  const float *const last  = path->held + frames * PITCHES;
  int                state = 0, count = 0, end = frames;
  for (int p = 1; p < PITCHES; ++p) {
    state = last[p] > last[state] ? p : state;
  }
  state = path->rest[frames] >= last[state] ? HELD : state; /* HELD: rests */
  for (int t = frames; t > 0 && count < RL_LIFT_NOTES_MAX;) {
    if (state == HELD) {
      state = path->rest_from[t--];
      end   = t;
      continue;
    }
    const int from = path->held_from[t * PITCHES + state];
    if (from == NOWHERE) {
      break;
    }
    if (from == HELD) {
      --t;
      continue;
    }
    t -= RL_LIFT_SHORTEST;
    span[count++] = (RlLiftSpan){t, end, state};
    end           = t;
    state         = from == RESTED ? HELD : from;
  }
  for (int i = 0; i < count / 2; ++i) {
    const RlLiftSpan other = span[i];
    span[i]                = span[count - 1 - i];
    span[count - 1 - i]    = other;
  }
  return count;
}

int
rl_lift_line(const RlLiftTask *const task, RlLiftRoom *const room,
             RlLiftSpan span[RL_LIFT_NOTES_MAX])
{
  const size_t used   = room->used;
  const int    frames = task->heard->frames;
  int          count  = 0;
  Path         path;
  path_take(&path, frames, room);
  if (room->memory) {
    path_begin(&path, task->heard);
    for (int t = 0; t < frames; ++t) {
      frame_hold(&path, t);
      if (t + RL_LIFT_SHORTEST <= frames) {
        frame_begin(task, &path, t);
      }
    }
    count = path_follow(&path, frames, span);
  }
  room->used = used;
  return count;
}
