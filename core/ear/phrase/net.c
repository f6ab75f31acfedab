/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/net.h"

#include "core/ear/four.h"

#include <math.h>
#include <string.h>

enum {
  PITCH  = RL_LIFT_NET_PITCH,
  EDGE   = RL_LIFT_NET_EDGE,
  LAST   = RL_LIFT_NET_LAST,
  OCTAVE = 12,
  MIDDLE = RL_LIFT_PITCHES / 2,
};

/* Thirds of a half step from a pitch to 1/4, 1/3, 1/2, 2/3, 1, 4/3, 3/2, 2, 5/2, 3, 7/2, 4, 5, 6,
   7, 8, 9, 10 and 12 times its frequency. */
static const int partial[RL_LIFT_NET_PARTIALS] = {-72, -57, -36, -21, 0,   15,  21,  36,  48, 57,
                                                  65,  72,  84,  93,  101, 108, 114, 120, 129};
static const int beside[RL_LIFT_NET_BESIDE]    = {4, 7, 9}; /* of those: 1, 2 and 3 times */
static const int low[] = {4, 7, 9}, high[] = {11, 12, 13, 14, 15};
/* Half steps: octaves and twelfths, whose partials lie on each other. */
static const int apart[RL_LIFT_NET_APART] = {12, -12, 19, -19};
/* Frames from here that are looked at: what is struck or plucked dies away, a horn does not. */
static const int tap[RL_LIFT_NET_TAPS] = {-24, -12, -6, -2, 0, 2, 6, 12, 24};

/* ---- small pieces ---- */

/* Adds to `out` the rows of a table, each as often as its input says; most inputs are 0. What is
   added to stays in registers. */
static inline void
rows_add(const float *const in, const int inputs, const float *const rows, const int outputs,
         float *const out)
{
  enum { MOST = PITCH / 4 };
  _Static_assert(EDGE <= PITCH && LAST <= PITCH && (int)RL_LIFT_NET_REST <= (int)PITCH, "widest");
  RlFour    sum[MOST];
  const int fours = outputs / 4;
#pragma GCC unroll 8
  for (int k = 0; k < fours; ++k) {
    sum[k] = rl_four_at(out + 4 * k);
  }
  for (int i = 0; i < inputs; ++i) {
    if (in[i] != 0) {
      const float *const row = rows + i * outputs;
#pragma GCC unroll 8
      for (int k = 0; k < fours; ++k) {
        sum[k] += in[i] * rl_four_at(row + 4 * k);
      }
      for (int j = 4 * fours; j < outputs; ++j) {
        out[j] += in[i] * row[j];
      }
    }
  }
#pragma GCC unroll 8
  for (int k = 0; k < fours; ++k) {
    rl_four_put(out + 4 * k, sum[k]);
  }
}

static inline void
below_zero_cut(float *const x, const int count)
{
  for (int i = 0; i < count; ++i) {
    x[i] = x[i] > 0 ? x[i] : 0;
  }
}

static inline void
greatest_keep(const float *const x, const int count, float *const most)
{
  for (int i = 0; i < count; ++i) {
    most[i] = x[i] > most[i] ? x[i] : most[i];
  }
}

static inline int
frame_within(const int frame, const int frames)
{
  return frame < 0 ? 0 : frame < frames ? frame : frames - 1;
}

static inline float
bin_of(const float *const x, const int bin)
{
  return bin >= 0 && bin < RL_LIFT_BINS ? x[bin] : 0;
}

/* ---- partials of each pitch ---- */

/* Each bin with its neighbours: the greatest. */
static void
bins_widen(const float *const x, float wide[RL_LIFT_BINS])
{
  for (int b = 0; b < RL_LIFT_BINS; ++b) {
    const int l = b > 0 ? b - 1 : b, r = b < RL_LIFT_BINS - 1 ? b + 1 : b;
    wide[b] = fmaxf(x[b], fmaxf(x[l], x[r]));
  }
}

/* What lies below, on and above some partials' middle third of a half step. */
static void
thirds_sum(const float *const x, const int first, const int *const some, const int count,
           float sum[3])
{
  for (int h = 0; h < count; ++h) {
    for (int i = 0; i < 3; ++i) {
      sum[i] += bin_of(x, first + partial[some[h]] + i - 1);
    }
  }
}

/* How far partials lie above their half step, -1..1: the low ones and the high ones together; and
   how much of them lies in its middle. A player's pitch moves, a key's does not. */
static void
leans_look(const float *const bare, const int first, float lean[RL_LIFT_NET_LEANS])
{
  const float faint = 0.3F;
  float       l[3] = {0}, h[3] = {0};
  thirds_sum(bare, first, low, 3, l);
  thirds_sum(bare, first, high, 5, h);
  lean[0] = (l[2] - l[0]) / (l[0] + l[1] + l[2] + faint);
  lean[1] = (h[2] - h[0]) / (h[0] + h[1] + h[2] + faint);
  lean[2] = (l[1] + h[1]) / (l[0] + l[1] + l[2] + h[0] + h[1] + h[2] + faint);
}

/* Of one frame. */
typedef struct {
  float        contrast[RL_LIFT_BINS], level[RL_LIFT_BINS];
  const float *bare; /* the level before it was widened */
  const float *slow;
} Looked;

static void
look_begin(Looked *const l, const float *const contrast, const float *const level,
           const float *const slow)
{
  bins_widen(contrast, l->contrast);
  bins_widen(level, l->level);
  l->bare = level;
  l->slow = slow;
}

static void
partials_look(const Looked *const l, const int pitch, float in[RL_LIFT_NET_IN])
{
  const float *const contrast = l->contrast, *const level = l->level;
  const int   first = 3 * (pitch + RL_LIFT_LOWEST - RL_LIFT_BIN_LOWEST);
  const float place = (float)(pitch - MIDDLE) / OCTAVE;
  int         n     = 0;
  for (int h = 0; h < RL_LIFT_NET_PARTIALS; ++h) {
    in[n++] = bin_of(contrast, first + partial[h]);
  }
  for (int h = 0; h < RL_LIFT_NET_BESIDE; ++h) {
    in[n++] = bin_of(contrast, first + partial[beside[h]] - 3);
    in[n++] = bin_of(contrast, first + partial[beside[h]] + 3);
  }
  for (int h = 0; h < RL_LIFT_NET_PARTIALS; ++h) {
    in[n++] = bin_of(level, first + partial[h]);
  }
  leans_look(l->bare, first, in + n);
  n += RL_LIFT_NET_LEANS;
  for (int i = 0; i < RL_LIFT_SLOW; ++i) {
    in[n++] = l->slow[pitch * RL_LIFT_SLOW + i];
  }
  in[n++] = place;
  in[n]   = place * place;
}

/* The first layer: [frames][RL_LIFT_PITCHES][PITCH], and the greatest of all pitches in `top`,
   [frames][PITCH]. */
static void
pitches_see(const RlLiftNet *const net, const RlLiftSpectra *const s, float *const seen,
            float *const top)
{
  memset(top, 0, sizeof(float) * (size_t)s->frames * PITCH);
  for (int t = 0; t < s->frames; ++t) {
    Looked looked;
    float  in[RL_LIFT_NET_IN];
    look_begin(&looked, s->contrast + (size_t)t * RL_LIFT_BINS, s->level + (size_t)t * RL_LIFT_BINS,
               s->slow + (size_t)t * RL_LIFT_PITCHES * RL_LIFT_SLOW);
    for (int p = 0; p < RL_LIFT_PITCHES; ++p) {
      float *const y = seen + ((size_t)t * RL_LIFT_PITCHES + (size_t)p) * PITCH;
      partials_look(&looked, p, in);
      memcpy(y, net->pitch_bias, sizeof(net->pitch_bias));
      rows_add(in, RL_LIFT_NET_IN, net->pitch[0], PITCH, y);
      below_zero_cut(y, PITCH);
      greatest_keep(y, PITCH, top + (size_t)t * PITCH);
    }
  }
}

/* ---- each frame ---- */

/* What a frame is made of. */
typedef struct {
  const RlLiftNet     *net;
  const RlLiftSpectra *spectra;
  const float         *seen; /* the first layer */
  int                  frame;
  float                strongest[PITCH]; /* what all pitches have in common */
  float                band[EDGE];
} Frame;

static const float *
seen_at(const Frame *const f, const int frame, const int pitch)
{
  const int t = frame_within(frame, f->spectra->frames);
  return f->seen + ((size_t)t * RL_LIFT_PITCHES + (size_t)pitch) * PITCH;
}

static void
frame_begin(Frame *const f, const float *const top)
{
  memcpy(f->strongest, f->net->held_bias, sizeof(f->strongest));
  rows_add(top + (size_t)f->frame * PITCH, PITCH, f->net->strongest[0], PITCH, f->strongest);
  memcpy(f->band, f->net->edge_bias, sizeof(f->band));
  for (int k = 0; k < RL_LIFT_NET_STEPS; ++k) {
    const int t = frame_within(f->frame + k - RL_LIFT_NET_STEPS / 2, f->spectra->frames);
    rows_add(f->spectra->band + (size_t)t * RL_LIFT_BANDS, RL_LIFT_BANDS, f->net->band[k][0], EDGE,
             f->band);
  }
}

static void
pitch_weigh(const Frame *const f, const int p, float both[RL_LIFT_NET_BOTH])
{
  float *const held = both, *const edge = both + PITCH;
  memcpy(held, f->strongest, sizeof(f->strongest));
  for (int k = 0; k < RL_LIFT_NET_TAPS; ++k) {
    rows_add(seen_at(f, f->frame + tap[k], p), PITCH, f->net->around[k][0], PITCH, held);
  }
  for (int k = 0; k < RL_LIFT_NET_APART; ++k) {
    const int other = p + apart[k];
    if (other >= 0 && other < RL_LIFT_PITCHES) {
      rows_add(seen_at(f, f->frame, other), PITCH, f->net->apart[k][0], PITCH, held);
    }
  }
  memcpy(edge, f->band, sizeof(f->band));
  for (int k = 0; k < RL_LIFT_NET_STEPS; ++k) {
    const int t = frame_within(f->frame + k - RL_LIFT_NET_STEPS / 2, f->spectra->frames);
    rows_add(f->spectra->edge + ((size_t)t * RL_LIFT_PITCHES + (size_t)p) * 2, 2,
             f->net->edge[k][0], EDGE, edge);
  }
  below_zero_cut(both, RL_LIFT_NET_BOTH);
}

static float
rest_weigh(const RlLiftNet *const net, const float *const most)
{
  float rest[RL_LIFT_NET_REST], sum = net->silent_bias;
  memcpy(rest, net->rest_bias, sizeof(rest));
  rows_add(most, RL_LIFT_NET_BOTH, net->rest[0], RL_LIFT_NET_REST, rest);
  below_zero_cut(rest, RL_LIFT_NET_REST);
  for (int i = 0; i < RL_LIFT_NET_REST; ++i) {
    sum += rest[i] * net->silent[i];
  }
  return sum;
}

/* To logarithms of shares of 1. */
static void
shares_make(const float *const score, float *const out)
{
  float most = score[0], sum = 0;
  for (int i = 1; i < RL_LIFT_STATES; ++i) {
    most = fmaxf(most, score[i]);
  }
  for (int i = 0; i < RL_LIFT_STATES; ++i) {
    sum += expf(score[i] - most);
  }
  sum = most + logf(sum);
  for (int i = 0; i < RL_LIFT_STATES; ++i) {
    out[i] = score[i] - sum;
  }
}

static void
frame_weigh(const Frame *const f, float *const holds, float *const begins)
{
  float score[RL_LIFT_STATES], most[RL_LIFT_NET_BOTH] = {0};
  for (int p = 0; p < RL_LIFT_PITCHES; ++p) {
    float both[RL_LIFT_NET_BOTH], last[LAST], out[2];
    pitch_weigh(f, p, both);
    greatest_keep(both, RL_LIFT_NET_BOTH, most);
    memcpy(last, f->net->both_bias, sizeof(last));
    rows_add(both, RL_LIFT_NET_BOTH, f->net->both[0], LAST, last);
    below_zero_cut(last, LAST);
    memcpy(out, f->net->out_bias, sizeof(out));
    rows_add(last, LAST, f->net->out[0], 2, out);
    score[p]  = out[0];
    begins[p] = out[1];
  }
  score[RL_LIFT_PITCHES] = rest_weigh(f->net, most);
  shares_make(score, holds);
}

void
rl_lift_heard_take(RlLiftHeard *const heard, const int frames, RlLiftRoom *const room)
{
  heard->frames = frames;
  heard->holds  = rl_lift_take(room, (size_t)frames * RL_LIFT_STATES, sizeof(float));
  heard->begins = rl_lift_take(room, (size_t)frames * RL_LIFT_PITCHES, sizeof(float));
}

void
rl_lift_net(const RlLiftNet *const net, const RlLiftSpectra *const s, RlLiftRoom *const room,
            RlLiftHeard *const heard)
{
  const size_t used = room->used, frames = (size_t)s->frames;
  float *const seen = rl_lift_take(room, frames * RL_LIFT_PITCHES * PITCH, sizeof(float));
  float *const top  = rl_lift_take(room, frames * PITCH, sizeof(float));
  if (room->memory) {
    pitches_see(net, s, seen, top);
    Frame f = {.net = net, .spectra = s, .seen = seen};
    for (f.frame = 0; f.frame < s->frames; ++f.frame) {
      frame_begin(&f, top);
      frame_weigh(&f, heard->holds + (size_t)f.frame * RL_LIFT_STATES,
                  heard->begins + (size_t)f.frame * RL_LIFT_PITCHES);
    }
  }
  room->used = used;
}
