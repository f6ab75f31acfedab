/* SPDX-License-Identifier: ISC */
/* lift_cost CHANNELS: ten seconds of a synthetic horn over chords and noise, lifted once. Prints
   the memory it took and the processor's time, which says little under load: callgrind counts. */
#include "core/ear/phrase/lift.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { SECONDS = 10, SAMPLES = SECONDS * RL_LIFT_RATE, NOTES_EACH = 3 };

static const double pi = 3.14159265358979323846;

static double
tone(const double midi, const double t)
{
  double sum = 0;
  for (int n = 1; n <= 8; ++n) {
    sum += sin(2 * pi * n * 440 * pow(2, (midi - 69) / 12) * t) / n;
  }
  return sum;
}

/* A horn to the left of the middle, three notes a second; a chord to the right; noise. */
static void
record_make(float *const left, float *const right)
{
  static const int line[] = {67, 70, 72, 74, 77, 74, 72, 65};
  uint32_t         seed   = 7;
  for (int i = 0; i < SAMPLES; ++i) {
    const double t = (double)i / RL_LIFT_RATE, at = t * NOTES_EACH;
    const double shape = fmin(1, 20 * fmin(at - floor(at), ceil(at) - at));
    const double horn  = 0.1 * shape * tone(line[(int)at % 8], t);
    const double chord = 0.04 * (tone(43, t) + tone(59, t) + tone(65, t));
    seed               = seed * 1664525U + 1013904223U;
    const double hiss  = ((double)(seed >> 8) / 8388608 - 1) * 0.01;
    left[i]            = (float)(0.9 * horn + 0.5 * chord + hiss);
    right[i]           = (float)(0.4 * horn + 0.9 * chord + hiss);
  }
}

int
main(const int argc, char **const argv)
{
  const bool      stereo = argc > 1 && atoi(argv[1]) > 1;
  const size_t    bytes  = rl_lift_bytes(SAMPLES);
  const size_t    most   = rl_lift_bytes(RL_LIFT_SAMPLES_MAX);
  const uint16_t  scale  = 0x6B5;
  float *const    sound  = calloc(2 * SAMPLES, sizeof(float));
  void *const     memory = malloc(bytes);
  RlLifted *const lifted = malloc(sizeof(*lifted));
  if (!sound || !memory || !lifted) {
    abort();
  }
  record_make(sound, sound + SAMPLES);
  const RlLiftSound clip  = {sound, stereo ? sound + SAMPLES : NULL, SAMPLES};
  const RlLiftGrid  grid  = {0.5, 0, 1, &scale, RL_LIFT_STRAIGHT};
  const clock_t     begun = clock();
  rl_lift(&clip, &grid, RL_LIFT_LIKELY, memory, lifted);
  printf("10 s, %s: %d notes, %.3f s of the processor, %.1f MiB; of 20 s %.1f MiB\n",
         stereo ? "stereo" : "mono", lifted->notes, (double)(clock() - begun) / CLOCKS_PER_SEC,
         (double)bytes / (1 << 20), (double)most / (1 << 20));
  free(lifted);
  free(memory);
  free(sound);
  return 0;
}
