/* SPDX-License-Identifier: ISC */
/* Recordings in, a click out: libsndfile. */
#include "ui/listen/listen.h"

#include <math.h>
#include <sndfile.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 4096, CHANNELS_MAX = 64 };

static const double rate_min = 22050, rate_max = 192000, hour = 3600;

static const char *
mono_read(SNDFILE *const file, const SF_INFO *const info, RlRecording *const r)
{
  const int    channels = info->channels;
  float *const block    = malloc(sizeof(float) * BLOCK * (size_t)channels);
  r->samples            = malloc(sizeof(float) * (size_t)info->frames);
  if (!block || !r->samples) {
    free(block);
    return "not enough memory";
  }
  sf_count_t n;
  while ((n = sf_readf_float(file, block, BLOCK)) > 0 &&
         (sf_count_t)r->frames + n <= info->frames) {
    for (sf_count_t i = 0; i < n; ++i) {
      float sum = 0;
      for (int c = 0; c < channels; ++c) {
        sum += block[i * channels + c];
      }
      r->samples[r->frames++] = sum / (float)channels;
    }
  }
  free(block);
  return r->frames ? NULL : "there is no sound in it";
}

RlListenEnd
rl_listen_sound(const char *const path, RlRecording *const r)
{
  SF_INFO        info = {0};
  SNDFILE *const file = sf_open(path, SFM_READ, &info);
  const char    *why  = NULL;
  if (!file) {
    return rl_listen_complain(RL_LISTEN_INPUT, path, sf_strerror(NULL));
  }
  r->rate = info.samplerate;
  if (r->rate < rate_min || r->rate > rate_max) {
    why = "its sample rate is not between 22050 and 192000";
  } else if (info.channels > CHANNELS_MAX) {
    why = "over 64 channels; mix it down";
  } else if (info.frames < 1 || (double)info.frames > hour * r->rate) {
    why = "there is no sound in it, or over an hour; trim it to the song";
  } else {
    why = mono_read(file, &info, r);
  }
  sf_close(file);
  return why ? rl_listen_complain(RL_LISTEN_INPUT, path, why) : RL_LISTEN_DONE;
}

/* A click of 30 ms; higher where a bar begins. */
static void
click_add(float *const sound, const RlRecording *const r, const RlFoundBeat *const beat)
{
  const uint64_t first = (uint64_t)fmax(beat->seconds * r->rate, 0);
  const uint64_t last  = first + (uint64_t)(0.03 * r->rate);
  const double   hertz = beat->beat == 1 ? 1760 : 880;
  for (uint64_t i = first; i < last && i < r->frames; ++i) {
    const double t = (double)(i - first) / r->rate;
    sound[i] += (float)(0.5 * exp(-t * 120) * sin(2 * 3.14159265358979 * hertz * t));
  }
}

bool
rl_listen_click(const char *const path, const RlRecording *const r, const RlFound *const found)
{
  SF_INFO info = {
    .samplerate = (int)r->rate, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
  float *const   sound = malloc(sizeof(float) * r->frames);
  SNDFILE *const file  = sound ? sf_open(path, SFM_WRITE, &info) : NULL;
  bool           good  = file != NULL;
  if (file) {
    for (uint64_t i = 0; i < r->frames; ++i) {
      sound[i] = 0.5F * r->samples[i];
    }
    for (int i = 0; i < found->beats; ++i) {
      click_add(sound, r, &found->beat[i]);
    }
    sf_command(file, SFC_SET_CLIPPING, NULL, SF_TRUE);
    good = sf_writef_float(file, sound, (sf_count_t)r->frames) == (sf_count_t)r->frames;
    good = sf_close(file) == 0 && good;
  }
  free(sound);
  return good;
}
