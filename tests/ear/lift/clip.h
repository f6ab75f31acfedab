/* SPDX-License-Identifier: ISC */
/* A clip of a sound file for the programs of this folder. */
#ifndef RL_TESTS_EAR_LIFT_CLIP_H
#define RL_TESTS_EAR_LIFT_CLIP_H

#include "core/ear/phrase/lift.h"

#include <sndfile.h>
#include <stdlib.h>

enum { CLIP_SECONDS_MAX = 60 };

/* Mono or stereo, brought to the rate of the ear; `side[1]` is NULL of a mono one. */
static inline bool
clip_read(const char *const path, float *side[2], size_t *const samples)
{
  SF_INFO        info = {0};
  SNDFILE *const file = sf_open(path, SFM_READ, &info);
  if (!file || info.channels > 2 || info.frames > CLIP_SECONDS_MAX * (sf_count_t)info.samplerate) {
    sf_close(file);
    return false;
  }
  const size_t frames = (size_t)info.frames, channels = (size_t)info.channels;
  float *const sound = calloc(frames * channels + 1, sizeof(float));
  *samples           = rl_lift_samples(frames, info.samplerate);
  side[0]            = calloc(*samples + 1, sizeof(float));
  side[1]            = channels > 1 ? calloc(*samples + 1, sizeof(float)) : NULL;
  const bool good =
    sound && side[0] && (channels == 1 || side[1]) && sf_readf_float(file, sound, info.frames) > 0;
  for (size_t i = 0; good && i < channels; ++i) {
    rl_lift_resample(sound + i, frames, (int)channels, info.samplerate, side[i]);
  }
  free(sound);
  sf_close(file);
  if (!good) {
    free(side[0]);
    free(side[1]);
  }
  return good;
}

#endif
