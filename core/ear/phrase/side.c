/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/side.h"

#include <math.h>
#include <stdbool.h>

enum {
  SIZE     = 2048, /* 93 ms */
  ANGLES   = 48,
  PARTIALS = 16,
  AROUND   = 6, /* lines on each side that a partial must stand out of */
  NEAR     = 2, /* lines on each side where it may be */
  WIDE     = 2  /* angles on each side that count together */
};

static const float quarter = 1.57079633F /* pi / 2 */, lowest = 350, highest = 8000; /* Hz */

typedef struct {
  float  angle[ANGLES + 1], all;
  RlBin *bins[2];
} Sides;

static bool
sides_are_the_same(const RlLiftSound *const sound)
{
  double both = 0, apart = 0;
  for (size_t i = 0; sound->right && i < sound->samples; ++i) {
    const float l = sound->left[i], r = sound->right[i];
    both += (double)(l * l + r * r);
    apart += (double)((l - r) * (l - r));
  }
  return apart <= 1e-4 * both;
}

/* Adds the partial at a line: where it lies between left and right, and how far it stands out. */
static void
partial_add(Sides *const s, const int line)
{
  float most = 0, angle = 0, around = 0;
  for (int k = line - AROUND; k <= line + AROUND; ++k) {
    const RlBin l = s->bins[0][k], r = s->bins[1][k];
    const float left = l.re * l.re + l.im * l.im, right = r.re * r.re + r.im * r.im;
    around += sqrtf(left + right) / (2 * AROUND + 1);
    if (rl_lift_apart(k - line) <= NEAR && left + right > most) {
      most  = left + right;
      angle = l.re * r.re + l.im * r.im >= 0 ? atan2f(sqrtf(right), sqrtf(left)) : -1;
    }
  }
  const float out = sqrtf(most) / (around + 1e-9F) - 1.5F;
  if (out > 0) {
    s->all += out;
    if (angle >= 0) { /* else in opposite phase: nowhere */
      s->angle[lrintf(angle / quarter * ANGLES)] += out;
    }
  }
}

static void
moment_add(Sides *const s, const float first)
{
  const float line = (float)RL_LIFT_RATE / SIZE;
  for (int h = 1; h <= PARTIALS; ++h) {
    if (first * (float)h >= lowest && first * (float)h <= highest) {
      partial_add(s, (int)lrintf(first * (float)h / line));
    }
  }
}

/* The angle where most lies, and its share. */
static float
sides_judge(const Sides *const s, float *const angle)
{
  float most = -1, place = 0, sum = 0;
  int   top = 0;
  for (int b = 0; b <= ANGLES; ++b) {
    float here = 0;
    for (int j = b - WIDE; j <= b + WIDE; ++j) {
      here += j >= 0 && j <= ANGLES ? s->angle[j] : 0;
    }
    if (here > most) {
      most = here;
      top  = b;
    }
  }
  for (int j = top - WIDE; j <= top + WIDE; ++j) {
    if (j >= 0 && j <= ANGLES) {
      place += s->angle[j] * (float)j;
      sum += s->angle[j];
    }
  }
  *angle = sum > 0 ? place / sum / ANGLES * quarter : quarter / 2;
  return s->all > 0 ? sum / s->all : 0;
}

float
rl_lift_side(const RlLiftSound *const sound, const float tuning, const RlLiftSpan *const span,
             const int count, RlLiftRoom *const room, float *const angle)
{
  const size_t used    = room->used;
  Sides        sides   = {.all = 0};
  float *const hann    = rl_lift_take(room, SIZE, sizeof(float));
  float *const scratch = rl_lift_take(room, SIZE, sizeof(float));
  sides.bins[0]        = rl_lift_take(room, SIZE / 2 + 1, sizeof(RlBin));
  sides.bins[1]        = rl_lift_take(room, SIZE / 2 + 1, sizeof(RlBin));
  void *const memory   = rl_lift_take(room, 1, rl_fft_bytes(SIZE));
  float       share    = 0;
  *angle               = quarter / 2;
  if (room->memory && !sides_are_the_same(sound)) {
    RlFft *const fft = rl_fft_begin(memory, SIZE);
    rl_lift_hann(hann, SIZE);
    for (int i = 0; i < count; ++i) {
      const float midi  = (float)(RL_LIFT_LOWEST + span[i].pitch) + tuning;
      const float first = 440 * powf(2, (midi - 69) / 12);
      for (int part = 0; part < 5; ++part) {
        const float at =
          (float)span[i].on + (.2F + .15F * (float)part) * (float)(span[i].off - span[i].on);
        const long centre = lrintf(at * ((float)RL_LIFT_RATE / RL_LIFT_FRAMES_EACH));
        rl_lift_window(sound, centre, hann, SIZE, SIZE, scratch, fft, sides.bins);
        moment_add(&sides, first);
      }
    }
    share = sides_judge(&sides, angle);
  }
  room->used = used;
  return share;
}
