/* SPDX-License-Identifier: ISC */
/* Recordings in: whatever libsndfile reads, WAV, FLAC and Ogg among them. Any thread but audio;
   files are read and memory is allocated. */
#ifndef RL_UI_CLIP_SOUND_H
#define RL_UI_CLIP_SOUND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** A recording as mono. */
typedef struct {
  float   *samples;
  uint64_t frames;
  double   rate;
} RlRecording;

/** A part of a recording, as it is lifted from. */
typedef struct {
  float *left, *right; /**< at RL_LIFT_RATE; right NULL: mono. One piece of memory: free(left) */
  size_t samples;
  bool   goes_on; /**< the recording has more behind it */
} RlClip;

/** Reads all of a recording of up to an hour, the mean of its channels. NULL, or why not; free
    `samples` in any case. */
const char *rl_sound_whole(const char *path, RlRecording *recording);

/** Reads its seconds `from` to `to` (HUGE_VAL: all), of which there must be some: two channels as
    they are, of more the mean. NULL, or why not; free `left` in any case. */
const char *rl_sound_clip(const char *path, double from, double to, RlClip *clip);

#endif
