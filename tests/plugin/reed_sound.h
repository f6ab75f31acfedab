/* SPDX-License-Identifier: ISC */
/* A synthetic reed for tests: eight partials that fall 4 dB an octave, with an attack and an end of
   15 ms. */
#ifndef REED_SOUND_H
#define REED_SOUND_H

#include <math.h>
#include <stddef.h>

/** Adds one at a pitch in MIDI numbers, from `on` to `off` seconds, into a sound of `frames`. */
static inline void
reed_add(float *const sound, const size_t frames, const double rate, const double on,
         const double off, const double midi)
{
  const double turn = 6.283185307179586 * 440 * pow(2, (midi - 69) / 12);
  for (size_t i = (size_t)(on * rate); i < (size_t)(off * rate) && i < frames; ++i) {
    const double t     = (double)i / rate;
    const double shape = fmin(1, fmin((t - on) / 0.015, (off - t) / 0.015));
    for (int n = 1; n <= 8 && n * turn < 62832; ++n) {
      sound[i] += (float)(0.06 * shape * pow(n, -0.66) * sin(n * turn * t + n * n));
    }
  }
}

#endif
