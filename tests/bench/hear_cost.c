/* SPDX-License-Identifier: ISC */
/* What hearing the player costs. Usage: hear_cost silence|playing SECONDS, to be counted under
   callgrind inside rl_reed_ear_hear(). Playing: a harp in C, four notes a second, natural and
   together, each a reed of eight partials, with a little noise; at 48 kHz in blocks of 64. */
#include "core/ear/player/reed_ear.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, BLOCK = 64, NOTE = RATE / 4 };

static RlReedEar ear;
static RlHarp    harp;

static float
reed(const int midi, const long frame)
{
  const double turn = 2 * 3.14159265358979 * 440 * exp2((midi - 69) / 12.0) * (double)frame / RATE;
  double       sum  = 0;
  for (int n = 1; n <= 8; ++n) {
    sum += sin(n * turn + n * n) / n;
  }
  return (float)(0.06 * sum);
}

static float
sample(const long frame, const bool plays)
{
  static uint32_t seed = 1;
  const long      note = frame / NOTE;
  const int       hole = (int)(note * 7 % (RL_HOLES - 1)), breath = (int)(note / 2 % 2);
  const float     shape = fminf(1, (float)(frame % NOTE) / 960);
  seed                  = seed * 1664525U + 1013904223U;
  const float hiss      = ((float)(seed >> 8) / 8388608.0F - 1) * 1e-4F;
  if (!plays) {
    return hiss;
  }
  const float second = note % 4 == 3 ? reed(harp.note[hole + 1][breath], frame) : 0;
  return hiss + shape * (reed(harp.note[hole][breath], frame) + second);
}

int
main(const int count, char **const words)
{
  const bool plays = count == 3 && strcmp(words[1], "playing") == 0;
  float      sound[BLOCK];
  bool       fresh;
  if (count != 3 || (!plays && strcmp(words[1], "silence") != 0)) {
    (void)fputs("usage: hear_cost silence|playing SECONDS\n", stderr);
    return 2;
  }
  harp = rl_harp_make((RlHarpChoice){0, 0, RL_RICHTER});
  rl_reed_ear_init(&ear, &harp, (RlPlayer){3, 3, true}, RATE);
  for (long at = 0, end = RATE * atol(words[2]); at < end; at += BLOCK) {
    for (int i = 0; i < BLOCK; ++i) {
      sound[i] = sample(at + i, plays);
    }
    for (uint32_t took = 0; took < BLOCK;) {
      took += rl_reed_ear_hear(&ear, sound + took, BLOCK - took, &fresh);
    }
  }
  return 0;
}
