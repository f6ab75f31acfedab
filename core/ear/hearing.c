/* SPDX-License-Identifier: ISC */
#include "core/ear/hearing.h"

#include <math.h>
#include <string.h>

static const float pi = 3.14159265F;

static const float loudest_gain = 300.0F;

enum {
  SETTLE    = 200, /* hops until the slow means are slow */
  LOW_TOP   = 7,   /* bins of the onset transform: 164 Hz */
  MID_TOP   = 86,  /* 2 kHz */
  HIGH_TOP  = 460, /* 10.8 kHz */
  PEAK_FROM = 8,   /* bins of the chroma transform: 47 Hz */
  PEAK_TO   = 358, /* 2.1 kHz */
  PEAKS     = (PEAK_TO - PEAK_FROM) / 2,
  HOPS_EACH = 4 /* hops for one chroma */
};

static const float bin_hertz = (float)RL_EAR_RATE / RL_HEARING_CHROMA;

static size_t
fft_room(const int size)
{
  return (rl_fft_bytes(size) + 63) & ~(size_t)63;
}

size_t
rl_hearing_fft_bytes(void)
{
  return fft_room(RL_HEARING_ONSET) + fft_room(RL_HEARING_CHROMA);
}

static void
window_fill(float *const window, const int size)
{
  for (int i = 0; i < size; ++i) {
    window[i] = 0.5F - 0.5F * cosf(2 * pi * (float)i / (float)size);
  }
}

void
rl_hearing_init(RlHearing *const h, void *const memory)
{
  memset(h, 0, sizeof(*h));
  h->onset_fft  = rl_fft_begin(memory, RL_HEARING_ONSET);
  h->chroma_fft = rl_fft_begin((char *)memory + fft_room(RL_HEARING_ONSET), RL_HEARING_CHROMA);
  window_fill(h->onset_window, RL_HEARING_ONSET);
  window_fill(h->chroma_window, RL_HEARING_CHROMA);
  h->level      = 1e-4;
  h->tuning_cos = 1e-6;
  for (int b = 0; b < RL_HEARING_BANDS; ++b) {
    h->spread[b] = 0.01;
  }
}

/* The newest `size` samples, weighed, into h->samples. */
static void
window_take(RlHearing *const h, const float *const window, const int size, const float gain)
{
  const int from  = (h->head - size) & (RL_HEARING_CHROMA - 1);
  const int first = from + size > RL_HEARING_CHROMA ? RL_HEARING_CHROMA - from : size;
  for (int i = 0; i < first; ++i) {
    h->samples[i] = h->ring[from + i] * window[i] * gain;
  }
  for (int i = first; i < size; ++i) {
    h->samples[i] = h->ring[i - first] * window[i] * gain;
  }
}

/* ---- onsets ---- */

static float
rise(const float *const now, const float *const before, const int from, const int to)
{
  float sum = 0;
  for (int i = from; i < to; ++i) {
    float most = before[i];
    if (i >= LOW_TOP) { /* a tone that slides to the next bin is no beginning */
      most = before[i - 1] > most ? before[i - 1] : most;
      most = before[i + 1] > most ? before[i + 1] : most;
    }
    sum += now[i] > most ? now[i] - most : 0;
  }
  return sum / (float)(to - from);
}

/* 0..3 by how far the rise lies above its slow mean, in slow mean deviations. */
static int
band_level(RlHearing *const h, const int band, const double value)
{
  const double slow = h->hops < SETTLE ? 1.0 / (double)(h->hops + 2) : 0.005;
  h->mean[band] += slow * (value - h->mean[band]);
  h->spread[band] += slow * (fabs(value - h->mean[band]) - h->spread[band]);
  const double z = (value - h->mean[band]) / (2.5 * h->spread[band] + 1e-4);
  return z < 0 ? 0 : z < 0.45 ? 1 : z < 1.1 ? 2 : 3;
}

/* Means over bands a third of an octave and more wide. */
static void
fine_take(RlHearing *const h, const float *const now)
{
  static const int edges[RL_PULSE_BANDS + 1] = {1,   2,   3,   4,   5,   7,   9,           12,
                                                15,  19,  24,  31,  39,  50,  64,          82,
                                                105, 134, 172, 220, 281, 360, HIGH_TOP + 1};
  for (int b = 0; b < RL_PULSE_BANDS; ++b) {
    float sum = 0;
    for (int i = edges[b]; i < edges[b + 1]; ++i) {
      sum += now[i];
    }
    h->heard.fine[b] = sum / (float)(edges[b + 1] - edges[b]);
  }
}

static void
onset_take(RlHearing *const h, const float gain)
{
  static const int edges[RL_HEARING_BANDS + 1] = {1, LOW_TOP, MID_TOP, HIGH_TOP};
  float *const     now                         = h->past[h->hops % 3];
  const float     *before                      = h->past[(h->hops + 1) % 3];
  int              symbol                      = 0;
  window_take(h, h->onset_window, RL_HEARING_ONSET, gain);
  rl_fft_run(h->onset_fft, h->samples, h->bins);
  for (int i = 0; i < RL_HEARING_ONSET / 2; ++i) {
    const RlBin bin = h->bins[i];
    now[i]          = logf(1 + 100 * (bin.re * bin.re + bin.im * bin.im));
  }
  for (int b = 0; b < RL_HEARING_BANDS; ++b) {
    symbol = symbol * 4 + band_level(h, b, (double)rise(now, before, edges[b], edges[b + 1]));
  }
  h->heard.symbol = (uint8_t)symbol;
  fine_take(h, now);
}

/* ---- chroma ---- */

/* A partial: how much it weighs, and its pitch as a MIDI note. */
typedef struct {
  float weight, note, hertz;
} Peak;

static bool
peak_at(const RlHearing *const h, const int k, Peak *const peak)
{
  const float *const m = h->magnitude;
  if (m[k] < m[k - 1] || m[k] < m[k + 1]) {
    return false;
  }
  const int   reach = 6 + k / 6, from = k - reach < 0 ? 0 : k - reach;
  const float around =
    (float)(h->sum[k + reach + 1] - h->sum[from]) / (float)(k + reach + 1 - from);
  const float above = logf(m[k] / around);
  if (!(above > 0.2F)) {
    return false;
  }
  const float loud = logf(1 + 2 * m[k]);
  const float a = logf(m[k - 1]), b = logf(m[k]), c = logf(m[k + 1]);
  const float bend = a - 2 * b + c - 1e-9F;
  float       off  = 0.5F * (a - c) / bend;
  off              = off > 0.5F ? 0.5F : off > -0.5F ? off : -0.5F;
  peak->weight     = above * (loud > 3 ? 3 : loud);
  peak->hertz      = ((float)k + off) * bin_hertz;
  peak->note       = 69 + 12 * log2f(peak->hertz / 440);
  return true;
}

static void
magnitudes_take(RlHearing *const h, const float gain)
{
  window_take(h, h->chroma_window, RL_HEARING_CHROMA, gain);
  rl_fft_run(h->chroma_fft, h->samples, h->bins);
  h->sum[0] = 0;
  for (int k = 0; k < RL_HEARING_TOP; ++k) {
    h->magnitude[k] = sqrtf(h->bins[k].re * h->bins[k].re + h->bins[k].im * h->bins[k].im) + 1e-6F;
    h->sum[k + 1]   = h->sum[k] + (double)h->magnitude[k];
  }
}

static void
length_one(float v[12])
{
  float sum = 1e-3F;
  for (int i = 0; i < 12; ++i) {
    sum += v[i] * v[i];
  }
  for (int i = 0; i < 12; ++i) {
    v[i] /= sqrtf(sum);
  }
}

static void
peak_count(RlHearing *const h, const Peak peak)
{
  const float note    = peak.note - h->tuning;
  const int   nearest = (int)lroundf(note);
  const float weight  = peak.weight * cosf(pi * (note - (float)nearest));
  const int   tone    = (nearest % 12 + 12) % 12;
  h->heard.bass[tone] += peak.hertz < 260 ? weight : 0;
  h->heard.chroma[tone] += peak.hertz > 120 ? weight : 0;
}

static void
chroma_take(RlHearing *const h, const float gain)
{
  Peak peaks[PEAKS];
  int  count = 0;
  magnitudes_take(h, gain);
  h->tuning_cos *= 0.9985;
  h->tuning_sin *= 0.9985;
  for (int k = PEAK_FROM; k <= PEAK_TO; ++k) {
    if (count < PEAKS && peak_at(h, k, &peaks[count])) {
      const Peak p = peaks[count++];
      if (p.hertz > 110 && p.hertz < 1600) {
        h->tuning_cos += (double)(p.weight * cosf(2 * pi * p.note));
        h->tuning_sin += (double)(p.weight * sinf(2 * pi * p.note));
      }
    }
  }
  h->tuning = (float)(atan2(h->tuning_sin, h->tuning_cos) / (2 * (double)pi));
  memset(h->heard.chroma, 0, sizeof(h->heard.chroma));
  memset(h->heard.bass, 0, sizeof(h->heard.bass));
  for (int i = 0; i < count; ++i) {
    peak_count(h, peaks[i]);
  }
  length_one(h->heard.chroma);
  length_one(h->heard.bass);
}

/* ---- all ---- */

static void
hop_take(RlHearing *const h)
{
  const double square = h->energy / RL_HEARING_HOP;
  h->level += (h->hops < SETTLE ? 1.0 / (double)(h->hops + 1) : 0.004) * (square - h->level);
  float gain = 0.1F / sqrtf((float)h->level + 1e-9F);
  gain       = gain > loudest_gain ? loudest_gain : gain;
  onset_take(h, gain);
  h->heard.fresh = h->hops % HOPS_EACH == 0;
  if (h->heard.fresh) {
    chroma_take(h, gain);
  }
  h->heard.loud = gain < loudest_gain && square > 0.01 * h->level;
  ++h->hops;
}

bool
rl_hearing_push(RlHearing *const h, const float sample)
{
  h->ring[h->head] = sample;
  h->head          = (h->head + 1) & (RL_HEARING_CHROMA - 1);
  h->energy += (double)sample * (double)sample;
  if (++h->at < RL_HEARING_HOP) {
    return false;
  }
  hop_take(h);
  h->at     = 0;
  h->energy = 0;
  return true;
}

float
rl_hearing_tuning(const RlHearing *const h, float *const sure)
{
  *sure = (float)hypot(h->tuning_cos, h->tuning_sin);
  return h->tuning;
}
