/* SPDX-License-Identifier: ISC */
/* The discrete Fourier transform of real signals, in the caller's memory. kissfft does it; only
   fft.c knows. Real-time safe once begun. */
#ifndef RL_CORE_EAR_FFT_H
#define RL_CORE_EAR_FFT_H

#include <stddef.h>

/** One bin. */
typedef struct {
  float re, im;
} RlBin;

/** A transform of a fixed size; opaque, inside the memory given. */
typedef struct RlFft RlFft;

/** Bytes that a transform of `size` (a power of two) needs. */
size_t rl_fft_bytes(int size);

/** Begins a transform in `memory`, rl_fft_bytes() of it, aligned as for a pointer. */
RlFft *rl_fft_begin(void *memory, int size);

/** `size` samples to size / 2 + 1 bins. */
void rl_fft_run(RlFft *fft, const float *samples, RlBin *bins);

#endif
