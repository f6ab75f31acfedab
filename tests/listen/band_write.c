/* SPDX-License-Identifier: ISC */
/* Writes the tests' band playing a chart as a sound file: band_write CHART WAV SECONDS TEMPO KEY
   SILENCE [RATE] (seconds before it begins; 44100). */
#include "tests/core/ear/band.h"

#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int
main(const int count, char **const arguments)
{
  static RlForm form;
  static char   text[RL_CHART_MAX + 1];
  FILE *const   file = count >= 7 ? fopen(arguments[1], "rb") : NULL;
  if (!file || !fread(text, 1, RL_CHART_MAX, file)) {
    return 1;
  }
  fclose(file);
  rl_band_form(text, &form);
  const int    rate   = count > 7 ? atoi(arguments[7]) : 44100;
  const RlBand band   = {rate, atof(arguments[4]), 12, atoi(arguments[5]), 0};
  const size_t frames = (size_t)(atof(arguments[3]) * band.rate);
  const size_t before = (size_t)(atof(arguments[6]) * band.rate);
  float *const sound  = calloc(frames, sizeof(float));
  SF_INFO info = {.samplerate = rate, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
  SNDFILE *const out = sf_open(arguments[2], SFM_WRITE, &info);
  if (!sound || !out || before > frames) {
    free(sound);
    return 1;
  }
  rl_band_play(&band, &form, sound + before, frames - before);
  const int good =
    sf_writef_float(out, sound, (sf_count_t)frames) == (sf_count_t)frames && sf_close(out) == 0;
  free(sound);
  return good ? 0 : 1;
}
