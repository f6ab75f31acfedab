/* SPDX-License-Identifier: ISC */
#include "tests/core/ear/band.h"

#include "core/chart/chart.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

void
rl_band_form(const char *const chart, RlForm *const form)
{
  RlChartError error;
  if (!rl_chart_read(rl_slice(chart), form, &error)) {
    abort();
  }
}

float
rl_band_random(uint32_t *const seed)
{
  *seed = *seed * 1664525U + 1013904223U;
  return (float)(*seed >> 8) / 16777216.0F;
}

/* The sum of n partials, 1 / p as loud each, of a tone whose sine and cosine are `s` and `c`. */
static double
partials(const double s, const double c, const int n)
{
  double before = 0, now = s, sum = s; /* sin((p - 1) x), sin(p x) */
  for (int p = 2; p <= n; ++p) {
    const double next = 2 * c * now - before;
    before            = now;
    now               = next;
    sum += now / p;
  }
  return sum;
}

/* A tone of five partials that dies away. Its sine, cosine and fade go on from sample to sample:
   the tests play hours of it. */
static void
tone_add(const RlBand *const b, float *const sound, const size_t frames, const double at,
         const double length, const double note, const float loud)
{
  const double hertz = 440 * pow(2, (note - 69 + b->cents / 100) / 12);
  const size_t first = (size_t)(at * b->rate);
  const size_t last  = (size_t)((at + length) * b->rate);
  const double begin = (double)first / b->rate - at, turn = 2 * pi * hertz;
  const double step_s = sin(turn / b->rate), step_c = cos(turn / b->rate);
  const double fades = exp(-2 / length / b->rate);
  const int    n     = hertz * 5 < 10000 ? 5 : (int)ceil(10000 / hertz) - 1;
  double       s = sin(turn * begin), c = cos(turn * begin), fade = exp(-2 * begin / length);
  for (size_t i = first; i < last && i < frames; ++i) {
    const double t = (double)i / b->rate - at, was = s;
    sound[i] += loud * (float)(fade * fmin(t * 300, 1) * partials(s, c, n));
    s = s * step_c + c * step_s;
    c = c * step_c - was * step_s;
    fade *= fades;
  }
}

static void
noise_add(const RlBand *const b, float *const sound, const size_t frames, const double at,
          uint32_t *const seed)
{
  const size_t first = (size_t)(at * b->rate), last = first + (size_t)(0.06 * b->rate);
  for (size_t i = first; i < last && i < frames; ++i) {
    sound[i] += 0.15F * (rl_band_random(seed) - 0.5F) * (float)(last - i) / (float)(last - first);
  }
}

static void
chord_add(const RlBand *const b, float *const sound, const size_t frames, const double at,
          const double length, const RlHarmony *const h)
{
  RlDegree  degree[RL_DEGREES];
  const int tones = rl_quality_tones(h->quality, degree);
  for (int t = 0; t < tones; ++t) {
    const int tone = rl_pitch_class(rl_harmony_root(h) + rl_degree_semitones(degree[t]));
    tone_add(b, sound, frames, at, length, 55 + rl_pitch_class(tone - 55), 0.05F);
  }
}

void
rl_band_play(const RlBand *const b, const RlForm *const form, float *const sound,
             const size_t frames)
{
  const double beat = 60 / b->tempo;
  const RlKey  key  = rl_key_named(b->key, form->key.minor);
  uint32_t     seed = 7;
  memset(sound, 0, frames * sizeof(float));
  for (int i = 0; i * beat < (double)frames / b->rate; ++i) {
    const RlPlace    place = rl_form_locate(form, RL_AXIS_FELT, b->from + i, 0);
    const RlChordsAt at    = rl_form_chords_at(form, &place);
    const RlHarmony  h     = rl_harmony_of(rl_form_chord(form, at.now), key);
    const bool       first = place.beat < 0.5;
    const int        root  = rl_harmony_root(&h);
    tone_add(b, sound, frames, i * beat, beat * 0.9,
             36 + rl_pitch_class(root - 36) + (first ? 0 : 7 * (i % 2)), first ? 0.3F : 0.2F);
    if (i % 2) {
      chord_add(b, sound, frames, i * beat, beat * 0.8, &h);
      noise_add(b, sound, frames, i * beat, &seed);
    }
    chord_add(b, sound, frames, (i + 2.0 / 3) * beat, beat / 3, &h);
  }
}
