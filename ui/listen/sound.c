/* SPDX-License-Identifier: ISC */
/* Recordings in, a click out: libsndfile. */
#include "ui/listen/listen.h"

#include <math.h>
#include <sndfile.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 4096, CHANNELS_MAX = 64 };

static const double rate_min = 22050, rate_max = 192000, hour = 3600;

static float
mean_of(const float *const frame, const int channels)
{
  float sum = 0;
  for (int c = 0; c < channels; ++c) {
    sum += frame[c];
  }
  return sum / (float)channels;
}

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
      r->samples[r->frames++] = mean_of(block + i * channels, channels);
    }
  }
  free(block);
  return r->frames ? NULL : "there is no sound in it";
}

/* Opens a recording; NULL: why it will not do, in *why. */
static SNDFILE *
recording_open(const char *const path, SF_INFO *const info, const char **const why)
{
  SNDFILE *const file = sf_open(path, SFM_READ, info);
  *why                = NULL;
  if (!file) {
    *why = sf_strerror(NULL);
    return NULL;
  }
  if (info->samplerate < rate_min || info->samplerate > rate_max) {
    *why = "its sample rate is not between 22050 and 192000";
  } else if (info->channels > CHANNELS_MAX) {
    *why = "over 64 channels; mix it down";
  } else if (info->frames < 1 || (double)info->frames > hour * info->samplerate) {
    *why = "there is no sound in it, or over an hour; trim it to the song";
  }
  if (*why) {
    sf_close(file);
  }
  return *why ? NULL : file;
}

RlListenEnd
rl_listen_sound(const char *const path, RlRecording *const r)
{
  SF_INFO        info = {0};
  const char    *why;
  SNDFILE *const file = recording_open(path, &info, &why);
  if (file) {
    r->rate = info.samplerate;
    why     = mono_read(file, &info, r);
    sf_close(file);
  }
  return why ? rl_listen_complain(RL_LISTEN_INPUT, path, why) : RL_LISTEN_DONE;
}

/* ---- a clip ---- */

/* Reads frames `first` to `past` and brings them to the lifter's rate: two channels as they are,
   of more the mean. */
static const char *
clip_read(SNDFILE *const file, const SF_INFO *const info, const sf_count_t first,
          const sf_count_t past, RlClip *const clip)
{
  const size_t frames = (size_t)(past - first), channels = (size_t)info->channels;
  const bool   stereo = channels == 2;
  const size_t room   = rl_lift_samples(frames, info->samplerate);
  float *const sound  = calloc(frames * channels, sizeof(float));
  clip->left          = malloc(sizeof(float) * (room + 1) * (stereo ? 2 : 1));
  if (!sound || !clip->left) {
    free(sound);
    return "not enough memory; name less of it with --phrase";
  }
  const bool good =
    sf_seek(file, first, SEEK_SET) == first && sf_readf_float(file, sound, (sf_count_t)frames) > 0;
  for (size_t i = 0; channels > 2 && i < frames; ++i) {
    sound[i * channels] = mean_of(sound + i * channels, info->channels);
  }
  clip->samples = room;
  clip->right   = stereo ? clip->left + room : NULL;
  rl_lift_resample(sound, frames, (int)channels, info->samplerate, clip->left);
  if (stereo) {
    rl_lift_resample(sound + 1, frames, 2, info->samplerate, clip->right);
  }
  free(sound);
  return good ? NULL : "cannot be read from there on";
}

RlListenEnd
rl_listen_clip(const RlListenOptions *const w, RlClip *const clip)
{
  SF_INFO        info = {0};
  const char    *why;
  SNDFILE *const file = recording_open(w->sound, &info, &why);
  if (file) {
    const double first = w->from * info.samplerate, past = w->to * info.samplerate;
    if (first >= (double)info.frames) {
      why = "is over before the phrase begins; see --phrase";
    } else {
      why = clip_read(file, &info, (sf_count_t)first,
                      past < (double)info.frames ? (sf_count_t)past : info.frames, clip);
    }
    sf_close(file);
  }
  return why ? rl_listen_complain(RL_LISTEN_INPUT, w->sound, why) : RL_LISTEN_DONE;
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
