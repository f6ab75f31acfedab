/* SPDX-License-Identifier: ISC */
/* What is heard of a band: every 10 ms how strongly something begins in three bands, every 40 ms
   which pitch classes sound, above and in the bass, once the tuning is taken out. */
#ifndef RL_CORE_EAR_HEARING_H
#define RL_CORE_EAR_HEARING_H

#include "core/ear/fft.h"
#include "core/ear/pulse.h"
#include "core/ear/resampler.h"

#include <stdbool.h>

enum {
  RL_HEARING_HOP     = RL_EAR_RATE / 100, /**< samples for each observation */
  RL_HEARING_ONSET   = 1024,
  RL_HEARING_CHROMA  = 4096,
  RL_HEARING_BANDS   = 3,
  RL_HEARING_SYMBOLS = 64, /**< four levels in each band */
  RL_HEARING_TOP     = 512 /**< bins whose chroma is looked at, and some more */
};

/** An observation. */
typedef struct {
  uint8_t symbol;     /**< levels 0..3 of low * 16 + middle * 4 + high */
  bool    loud;       /**< something sounds */
  bool    fresh;      /**< chroma and bass are new */
  float   chroma[12]; /**< of length 1, C first */
  float   bass[12];
  float   fine[RL_PULSE_BANDS]; /**< how loud 22 bands from 23 Hz to 10.8 kHz are, logarithmic */
} RlHeard;

/** Its state. About 70 KiB, without the transforms. */
typedef struct {
  RlFft  *onset_fft, *chroma_fft;
  int     at;   /**< samples in the hop so far */
  int     head; /**< where the next sample goes in `ring` */
  int64_t hops;
  double  energy, level; /**< of this hop, mean square; and its slow mean */
  double  mean[RL_HEARING_BANDS], spread[RL_HEARING_BANDS];
  double  tuning_cos, tuning_sin;
  float   tuning; /**< half steps above 440 Hz, -0.5..0.5 */
  float   ring[RL_HEARING_CHROMA];
  float   onset_window[RL_HEARING_ONSET], chroma_window[RL_HEARING_CHROMA];
  float   past[3][RL_HEARING_ONSET / 2];
  float   samples[RL_HEARING_CHROMA];
  RlBin   bins[RL_HEARING_CHROMA / 2 + 1];
  float   magnitude[RL_HEARING_TOP];
  double  sum[RL_HEARING_TOP + 1]; /**< of magnitudes below a bin; floats would not do */
  RlHeard heard;
} RlHearing;

/** Bytes for both transforms. */
size_t rl_hearing_fft_bytes(void);

/** `memory`: that many bytes. */
void rl_hearing_init(RlHearing *hearing, void *memory);

/** Takes a sample of RL_EAR_RATE; true if an observation is ready in hearing->heard. */
bool rl_hearing_push(RlHearing *hearing, float sample);

/** Half steps that the recording lies above A = 440 Hz, and how sure that is, 0..1. */
float rl_hearing_tuning(const RlHearing *hearing, float *sure);

#endif
