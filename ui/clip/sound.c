/* SPDX-License-Identifier: ISC */
#include "ui/clip/sound.h"

#include "core/ear/phrase/lift.h"

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

/* An Ogg file that breaks off does not say how long it is: what there is, at most an hour of it and
   a block. */
static sf_count_t
frames_count(SNDFILE *const file, const SF_INFO *const info)
{
  const sf_count_t most  = (sf_count_t)(hour * info->samplerate) + 1;
  float *const     block = malloc(sizeof(float) * BLOCK * (size_t)info->channels);
  sf_count_t       n = 0, frames = 0;
  while (block && frames < most && (n = sf_readf_float(file, block, BLOCK)) > 0) {
    frames += n;
  }
  free(block);
  return sf_seek(file, 0, SEEK_SET) == 0 ? frames : 0;
}

static const char *
opening_error(void)
{
  return sf_error(NULL) == SF_ERR_SYSTEM
           ? sf_strerror(NULL)
           : "is no sound that can be read, or damaged; export it again as WAV or FLAC";
}

/* Opens a recording; NULL: why it will not do, in *why. */
static SNDFILE *
recording_open(const char *const path, SF_INFO *const info, const char **const why)
{
  SNDFILE *const file = sf_open(path, SFM_READ, info);
  *why                = NULL;
  if (!file) {
    *why = opening_error();
    return NULL;
  }
  if (info->samplerate < rate_min || info->samplerate > rate_max) {
    *why = "its sample rate is not between 22050 and 192000";
  } else if (info->channels > CHANNELS_MAX) {
    *why = "over 64 channels; mix it down";
  } else if (info->frames == SF_COUNT_MAX) {
    info->frames = frames_count(file, info);
  }
  if (!*why && (info->frames < 1 || (double)info->frames > hour * info->samplerate)) {
    *why = "there is no sound in it, or over an hour; trim it to the song";
  }
  if (*why) {
    sf_close(file);
  }
  return *why ? NULL : file;
}

const char *
rl_sound_whole(const char *const path, RlRecording *const r)
{
  SF_INFO        info = {0};
  const char    *why;
  SNDFILE *const file = recording_open(path, &info, &why);
  if (file) {
    r->rate = info.samplerate;
    why     = mono_read(file, &info, r);
    sf_close(file);
  }
  return why;
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
    return "not enough memory; make it shorter";
  }
  const bool good =
    sf_seek(file, first, SEEK_SET) == first && sf_readf_float(file, sound, (sf_count_t)frames) > 0;
  for (size_t i = 0; channels > 2 && i < frames; ++i) {
    sound[i * channels] = mean_of(sound + i * channels, info->channels);
  }
  clip->samples = room;
  clip->goes_on = past < info->frames;
  clip->right   = stereo ? clip->left + room : NULL;
  rl_lift_resample(sound, frames, (int)channels, info->samplerate, clip->left);
  if (stereo) {
    rl_lift_resample(sound + 1, frames, 2, info->samplerate, clip->right);
  }
  free(sound);
  return good ? NULL : "cannot be read from there on";
}

const char *
rl_sound_clip(const char *const path, const double from, const double to, RlClip *const clip)
{
  SF_INFO        info = {0};
  const char    *why;
  SNDFILE *const file = recording_open(path, &info, &why);
  if (file) {
    const double first = from * info.samplerate, past = to * info.samplerate;
    if (first >= (double)info.frames) {
      why = "is over before the phrase begins";
    } else {
      why = clip_read(file, &info, (sf_count_t)first,
                      past < (double)info.frames ? (sf_count_t)past : info.frames, clip);
    }
    sf_close(file);
  }
  return why;
}
