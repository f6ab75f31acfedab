/* SPDX-License-Identifier: ISC */
#include "tests/core/ear/horn.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

static const double pi = 3.14159265358979323846;

const int horn_line[HORN_NOTES][3] = {{12, 8, 67}, {20, 4, 70},  {24, 8, 72},
                                      {32, 4, 74}, {36, 12, 77}, {60, 8, 74},
                                      {68, 4, 72}, {72, 8, 72},  {80, 16, 67}};

/* `fall`: dB an octave; `moves`: cents to both sides. */
static void
tone(float *const sound, const double rate, const double on, const double off, const double midi,
     const double loud, const double fall, const double moves, const int partials)
{
  const double hz = 440 * pow(2, (midi - 69) / 12), slow = 2 * pi * 5.5;
  const double deep = hz * 2 * pi * (pow(2, moves / 1200) - 1) / slow; /* of the phase */
  for (size_t i = (size_t)(on * rate); i < (size_t)(off * rate); ++i) {
    const double t     = (double)i / rate;
    const double shape = fmin(1, fmin((t - on) / 0.012, (off - t) / 0.02));
    for (int n = 1; n <= partials && n * hz < 10000; ++n) {
      const double turn = n * (2 * pi * hz * t + deep * sin(slow * t)) + n * n;
      sound[i] += (float)(loud * shape * pow(n, -fall / 6.02) * sin(turn));
    }
  }
}

void
horn_tone(float *const sound, const double rate, const double on, const double off,
          const double midi, const double loud, const double fall)
{
  tone(sound, rate, on, off, midi, loud, fall, 10, 12);
}

void
horn_steady(float *const sound, const double rate, const double on, const double off,
            const double midi, const double loud, const double fall, const int partials)
{
  tone(sound, rate, on, off, midi, loud, fall, 0, partials);
}

static double
second_of(const int twelfth)
{
  const double part  = twelfth % 12 == 8 ? 2.0 / 3 : twelfth % 12 / 12.0;
  const int    whole = twelfth / 12;
  return (whole + part) * 60 / HORN_TEMPO;
}

double
horn_on(const int note)
{
  return second_of(horn_line[note][0]);
}

double
horn_off(const int note)
{
  return second_of(horn_line[note][0] + horn_line[note][1]) - 0.02;
}

static float
hiss(uint32_t *const seed)
{
  *seed = *seed * 1664525U + 1013904223U;
  return ((float)(*seed >> 8) / 8388608.0F - 1) * 0.002F;
}

void
horn_hiss(float *const sound, const size_t frames)
{
  uint32_t seed = 7;
  for (size_t i = 0; i < frames; ++i) {
    sound[i] += hiss(&seed);
  }
}

/* The line, `left` and `right` loud; over a pad of strings and noise, `band` loud. Interleaved. */
float *
horn_record(const double rate, const double left, const double right, const double band,
            size_t *const frames)
{
  *frames            = (size_t)(5 * rate);
  float *const horn  = calloc(*frames, sizeof(float));
  float *const pad   = calloc(*frames, sizeof(float));
  float *const sound = calloc(*frames * 2, sizeof(float));
  uint32_t     seed  = 7;
  if (!horn || !pad || !sound) {
    abort();
  }
  for (int i = 0; i < HORN_NOTES; ++i) {
    horn_tone(horn, rate, horn_on(i), horn_off(i), horn_line[i][2], 0.08, 5);
  }
  for (int i = 0; i < 3; ++i) {
    tone(pad, rate, 0, 4.9, (const int[]){43, 59, 65}[i], 0.05, 9, 0, 12);
  }
  for (size_t i = 0; i < *frames; ++i) {
    const float rest = (float)band * pad[i] + hiss(&seed);
    sound[2 * i]     = (float)left * horn[i] + rest;
    sound[2 * i + 1] = (float)right * horn[i] + rest;
  }
  free(horn);
  free(pad);
  return sound;
}
