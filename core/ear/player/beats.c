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
    for (int p = 0; p < RL_BEATS; ++p) {
      const int high = n->line[pair[p].high], low = n->line[pair[p].low];
      if (n->same == k && high >= 0 && low >= 0) {
        const int thrice = pair[p].times == 3 ? RL_REED_LINES : 0;
        b->of[b->count++] =
          (RlBeatOf){(uint16_t)high, (uint16_t)(thrice + low), (uint16_t)(p * RL_REED_NOTES + k)};
      }
    }
  }
}

/* Points on the circle: each line's phase, 0 if it is too faint to tell. */
typedef struct {
  float re[RL_REED_LINES], im[RL_REED_LINES];
  float often_re[2 * RL_REED_LINES], often_im[2 * RL_REED_LINES]; /* those twice, and thrice */
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

static float
loudest_of(const RlLines *const l)
{
  RlFour most = rl_four(-90);
  for (int i = 0; i < l->count; i += 4) {
    most = rl_four_max(most, rl_four_at(l->slow + i));
  }
  return rl_greater(rl_greater(most[0], most[1]), rl_greater(most[2], most[3]));
}

static void
phases_make(RlPhases *const to, const RlLines *const l)
{
  const float loud_enough = loudest_of(l) + too_faint;
  for (int i = 0; i < l->count; i += 4) {
    const RlFour     re = rl_four_at(l->now_re + i), im = rl_four_at(l->now_im + i);
    const RlFourMask sounds = rl_four_at(l->slow + i) > loud_enough;
    const RlFour     per_length =
      (RlFour)((RlFourMask)four_per_root(re * re + im * im + 1e-20F) & sounds);
    const RlFour c = re * per_length, s = im * per_length;
    const RlFour cc = c * c - s * s, ss = 2 * c * s;
    rl_four_put(to->re + i, c);
    rl_four_put(to->im + i, s);
    rl_four_put(to->often_re + i, cc);
    rl_four_put(to->often_im + i, ss);
    rl_four_put(to->often_re + RL_REED_LINES + i, cc * c - ss * s);
    rl_four_put(to->often_im + RL_REED_LINES + i, cc * s + ss * c);
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
  b->now = (b->now + 1) % RL_LINES_PAST;
  phases_make(&at, l);
  float *const re = b->re[b->now][0], *const im = b->im[b->now][0];
  for (int i = 0; i < b->count; ++i) {
    const RlBeatOf o = b->of[i];
    const float    x = at.re[o.high], y = at.im[o.high];
    const float    c = at.often_re[o.low], s = at.often_im[o.low];
    re[o.to] = x * c + y * s;
    im[o.to] = y * c - x * s;
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
