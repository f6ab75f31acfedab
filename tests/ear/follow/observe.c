/* SPDX-License-Identifier: ISC */
/* Writes what the ear hears of a sound file: observe SOUND > FILE. For every 10 ms 49 floats:
   symbol, loud, fresh, twelve of chroma, twelve of bass, 22 fine bands. What the learners learn
   from. */
#include "core/ear/hearing.h"

#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FRAMES = 4096 };

static void
heard_write(const RlHeard *const heard)
{
  float out[27 + RL_PULSE_BANDS] = {heard->symbol, heard->loud, heard->fresh};
  memcpy(out + 3, heard->chroma, sizeof(heard->chroma));
  memcpy(out + 15, heard->bass, sizeof(heard->bass));
  memcpy(out + 27, heard->fine, sizeof(heard->fine));
  fwrite(out, sizeof(out), 1, stdout);
}

int
main(const int count, char **const arguments)
{
  static RlHearing   hearing;
  static RlResampler resampler;
  SF_INFO            info  = {0};
  SNDFILE *const     file  = count > 1 ? sf_open(arguments[1], SFM_READ, &info) : NULL;
  void *const        room  = malloc(rl_hearing_fft_bytes());
  float *const       sound = file ? malloc(sizeof(float) * FRAMES * (size_t)info.channels) : NULL;
  sf_count_t         n;
  if (!file || !sound || !room) {
    free(sound);
    free(room);
    return 1;
  }
  rl_hearing_init(&hearing, room);
  rl_resampler_init(&resampler, info.samplerate);
  while ((n = sf_readf_float(file, sound, FRAMES)) > 0) {
    for (sf_count_t i = 0; i < n; ++i) {
      float mono = 0, out[2];
      for (int c = 0; c < info.channels; ++c) {
        mono += sound[i * info.channels + c] / (float)info.channels;
      }
      const int came = rl_resampler_push(&resampler, mono, out);
      for (int k = 0; k < came; ++k) {
        if (rl_hearing_push(&hearing, out[k])) {
          heard_write(&hearing.heard);
        }
      }
    }
  }
  float       sure;
  const float tuning = rl_hearing_tuning(&hearing, &sure);
  fprintf(stderr, "tuning %.1f cents (%.1f)\n", 100 * (double)tuning, (double)sure);
  sf_close(file);
  free(sound);
  free(room);
  return 0;
}
