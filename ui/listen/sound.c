/* SPDX-License-Identifier: ISC */
/* Recordings in, a click out: libsndfile. */
#include "ui/listen/listen.h"

#include <math.h>
#include <sndfile.h>
#include <stdlib.h>

RlListenEnd
rl_listen_sound(const char *const path, RlRecording *const r)
{
  const char *const why = rl_sound_whole(path, r);
  return why ? rl_listen_complain(RL_LISTEN_INPUT, path, why) : RL_LISTEN_DONE;
}

RlListenEnd
rl_listen_clip(const RlListenOptions *const w, RlClip *const clip)
{
  const char *const why = rl_sound_clip(w->sound, w->from, w->to, clip);
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
