/* SPDX-License-Identifier: ISC */
#include "core/ear/player/beats.h"

#include "core/ear/four.h"
#include "core/ear/resampler.h"

#include <math.h>
#include <string.h>

static const float turn_full = 6.2831853F;
static const float too_faint = -35; /* dB against the loudest line */

/* Partial against partial, from 0, and how many times its phase. */
static const struct {
  int high, low, times;
} pair[RL_BEATS] = {
  [RL_BEAT_SECOND] = {1, 0, 2}, [RL_BEAT_FOURTH] = {3, 1, 2}, [RL_BEAT_THIRD] = {2, 0, 3}};

/* Means: of what, over how many blocks, and how much of it a block makes new. */
static const struct {
  int   beat, blocks;
  float forgets;
} mean[RL_BEAT_MEANS] = {[RL_BEAT_SECOND_NEAR] = {RL_BEAT_SECOND, 16, 0.06F},
                         [RL_BEAT_FOURTH_NEAR] = {RL_BEAT_FOURTH, 16, 0.06F},
                         [RL_BEAT_SECOND_FAR]  = {RL_BEAT_SECOND, 32, 0.06F},
                         [RL_BEAT_SECOND_LONG] = {RL_BEAT_SECOND, 16, 0.016F}};

void
rl_beats_init(RlBeats *const b, const RlReeds *const reeds)
{
  memset(b, 0, sizeof(*b));
  for (int k = 0; k < reeds->notes; ++k) {
    const RlReedNote *const n = &reeds->note[k];
    if (n->line[2] >= 0) {
      const float beside = reeds->line_hz[n->line[2]] - 3 * reeds->line_hz[n->line[0]];
      b->turn[k]         = turn_full * beside * RL_TAPE_BLOCK / RL_EAR_RATE;
    }
  }
}

/* Points on the circle: each line's phase. */
typedef struct {
  float re[RL_REED_LINES], im[RL_REED_LINES];
} RlPhases;

/* One over the square root, within 1e-5: the exponent halved, then twice Newton's step. */
static RlFour
four_per_root(const RlFour x)
{
  RlFour y = (RlFour)(0x5F3759DF - ((RlFourMask)x >> 1));
  for (int i = 0; i < 2; ++i) {
    y *= 1.5F - 0.5F * x * y * y;
  }
  return y;
}

static void
phases_make(RlPhases *const to, const RlLines *const l)
{
  for (int i = 0; i < l->count; i += 4) {
    const RlFour re = rl_four_at(l->now_re + i), im = rl_four_at(l->now_im + i);
    const RlFour per_length = four_per_root(re * re + im * im + 1e-20F);
    rl_four_put(to->re + i, re * per_length);
    rl_four_put(to->im + i, im * per_length);
  }
}

/* The phase of line `high` without `times` that of line `low`. */
static void
point(const RlPhases *const at, const int low, const int high, const int times, float *const re,
      float *const im)
{
  const float c = at->re[low], s = at->im[low];
  *re = at->re[high];
  *im = at->im[high];
  for (int i = 0; i < times; ++i) {
    const float turned = *re * c + *im * s;
    *im                = *im * c - *re * s;
    *re                = turned;
  }
}

/* Of all notes: rl_beats_locked() for beats whose lines lie where they should. */
static void
means_move(RlBeats *const b, const int notes)
{
  for (int i = 0; i < RL_BEAT_MEANS; ++i) {
    const int beat = mean[i].beat, then = (b->now + RL_LINES_PAST - mean[i].blocks) % RL_LINES_PAST;
    const float *re = b->re[b->now][beat], *im = b->im[b->now][beat];
    const float *re_then = b->re[then][beat], *im_then = b->im[then][beat];
    for (int k = 0; k < notes; k += 4) {
      const RlFour now =
        rl_four_at(re + k) * rl_four_at(re_then + k) + rl_four_at(im + k) * rl_four_at(im_then + k);
      const RlFour was = rl_four_at(b->mean[i] + k);
      rl_four_put(b->mean[i] + k, was + mean[i].forgets * (now - was));
    }
  }
}

void
rl_beats_block(RlBeats *const b, const RlReeds *const reeds, const RlLines *const l)
{
  RlPhases at;
  RlFour   most = rl_four(-90);
  b->now        = (b->now + 1) % RL_LINES_PAST;
  phases_make(&at, l);
  for (int i = 0; i < l->count; i += 4) {
    most = rl_four_max(most, rl_four_at(l->slow + i));
  }
  const float loudest = fmaxf(fmaxf(most[0], most[1]), fmaxf(most[2], most[3]));
  for (int k = 0; k < reeds->notes; ++k) {
    const RlReedNote *const n = &reeds->note[k];
    for (int p = 0; n->same == k && p < RL_BEATS; ++p) {
      const int high = n->line[pair[p].high], low = n->line[pair[p].low];
      float    *re = &b->re[b->now][p][k], *im = &b->im[b->now][p][k];
      *re = *im = 0;
      if (high >= 0 && low >= 0 && fminf(l->slow[low], l->slow[high]) > loudest + too_faint) {
        point(&at, low, high, pair[p].times, re, im);
      }
    }
  }
  means_move(b, reeds->notes);
}

float
rl_beats_locked(const RlBeats *const b, const int beat, const int note, const int blocks)
{
  const int   then = (b->now + RL_LINES_PAST - blocks) % RL_LINES_PAST;
  const float a = b->re[b->now][beat][note], c = b->re[then][beat][note];
  const float s = b->im[b->now][beat][note], d = b->im[then][beat][note];
  const float with = a * c + s * d, across = s * c - a * d;
  const float turn = beat == RL_BEAT_THIRD ? b->turn[note] * (float)blocks : 0;
  return turn != 0 ? with * cosf(turn) - across * sinf(turn) : with;
}
