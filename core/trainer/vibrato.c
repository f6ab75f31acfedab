/* SPDX-License-Identifier: ISC */
#include "core/trainer/vibrato.h"

#include <math.h>

static const double slowest = 3, fastest = 8; /* Hz */
static const double step       = 0.125;       /* Hz, from line to line */
static const double least      = 5;           /* cents to each side */
static const double most_of_it = 0.6;         /* share of what moves */
static const double turn       = 6.283185307179586;

enum { LINES = 49 /* 2.5 to 8.5 Hz */ };

/* Takes out the straight line that fits best (least squares). */
static void
level(const float cents[RL_GRID], double flat[RL_GRID])
{
  const double middle = (RL_GRID - 1) / 2.0;
  double       sum = 0, slope = 0, square = 0;
  for (int i = 0; i < RL_GRID; ++i) {
    sum += (double)cents[i];
    slope += (i - middle) * (double)cents[i];
    square += (i - middle) * (i - middle);
  }
  for (int i = 0; i < RL_GRID; ++i) {
    flat[i] = (double)cents[i] - sum / RL_GRID - slope / square * (i - middle);
  }
}

static double
window(const int i)
{
  return 0.5 - 0.5 * cos(turn * (i + 0.5) / RL_GRID);
}

/* A line of the discrete Fourier transform at any frequency: amplitude, and its parts. */
static double
line_of(const double flat[RL_GRID], const double hz, double *const real, double *const imaginary)
{
  double all = 0;
  *real = *imaginary = 0;
  for (int i = 0; i < RL_GRID; ++i) {
    const double w = window(i);
    *real += w * flat[i] * cos(turn * hz * i / RL_GRID);
    *imaginary += w * flat[i] * sin(turn * hz * i / RL_GRID);
    all += w;
  }
  *real *= 2 / all;
  *imaginary *= 2 / all;
  return hypot(*real, *imaginary);
}

/* How much of what moves the one line explains, by power under the window. */
static double
share_of(const double flat[RL_GRID], const double hz)
{
  double real, imaginary;
  double all = 0, left = 0;
  line_of(flat, hz, &real, &imaginary);
  for (int i = 0; i < RL_GRID; ++i) {
    const double wave =
      real * cos(turn * hz * i / RL_GRID) + imaginary * sin(turn * hz * i / RL_GRID);
    all += window(i) * flat[i] * flat[i];
    left += window(i) * (flat[i] - wave) * (flat[i] - wave);
  }
  return all > 0 ? 1 - left / all : 0;
}

bool
rl_vibrato_find(const float cents[RL_GRID], RlVibrato *const vibrato)
{
  const double from = slowest - 4 * step;
  double       flat[RL_GRID], line[LINES], real, imaginary;
  int          top = 1;
  level(cents, flat);
  for (int k = 0; k < LINES; ++k) {
    line[k] = log(line_of(flat, from + k * step, &real, &imaginary) + 1e-9);
    top     = k > 0 && k < LINES - 1 && line[k] > line[top] ? k : top;
  }
  const double bend = line[top - 1] - 2 * line[top] + line[top + 1];
  const double off  = bend < 0 ? 0.5 * (line[top - 1] - line[top + 1]) / bend : 0;
  const double hz   = from + step * (top + fmin(fmax(off, -1), 1));
  const double wide = line_of(flat, hz, &real, &imaginary);
  *vibrato          = (RlVibrato){(float)hz, (float)wide};
  return bend < 0 && fabs(off) < 1 && hz >= slowest - step && hz <= fastest + step &&
         wide >= least && share_of(flat, hz) >= most_of_it;
}
