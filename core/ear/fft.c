/* SPDX-License-Identifier: ISC */
#include "core/ear/fft.h"

#include <assert.h>
#include <kissfft/kiss_fftr.h>

static_assert(sizeof(RlBin) == sizeof(kiss_fft_cpx), "a bin is kissfft's complex number");

size_t
rl_fft_bytes(const int size)
{
  size_t bytes = 0;
  kiss_fftr_alloc(size, 0, NULL, &bytes);
  return bytes;
}

RlFft *
rl_fft_begin(void *const memory, const int size)
{
  size_t bytes = rl_fft_bytes(size);
  return (RlFft *)kiss_fftr_alloc(size, 0, memory, &bytes);
}

void
rl_fft_run(RlFft *const fft, const float *const samples, RlBin *const bins)
{
  kiss_fftr((kiss_fftr_cfg)fft, samples, (kiss_fft_cpx *)bins);
}
