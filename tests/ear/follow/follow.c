/* SPDX-License-Identifier: ISC */
/* Follows a sound file as the plugin would, and prints what is reported, a line every 20 ms:
   follow CHART SOUND [KEY|-1 [BLOCK]]
   seconds chorus bar beat sure tempo mass cents key key_sure feel held likely, and the figures that
   `likely` rests on (core/ear/sure.h) */
#include "core/chart/chart.h"
#include "core/ear/ear.h"

#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>

static bool
form_load(const char *const path, RlForm *const form)
{
  static char  text[RL_CHART_MAX];
  RlChartError error;
  FILE *const  file   = fopen(path, "rb");
  const size_t length = file ? fread(text, 1, sizeof(text), file) : 0;
  if (file) {
    fclose(file);
  }
  return rl_chart_read((RlSlice){text, length}, form, &error);
}

/* The whole file as mono; NULL if it cannot be read. */
static float *
sound_load(const char *const path, SF_INFO *const info)
{
  SNDFILE *const file = sf_open(path, SFM_READ, info);
  const size_t   n = file ? (size_t)info->frames : 0, channels = (size_t)info->channels;
  float *const   all = malloc((n * channels + 1) * sizeof(float));
  if (!file || !all || sf_readf_float(file, all, info->frames) != info->frames) {
    free(all);
    if (file) {
      sf_close(file);
    }
    return NULL;
  }
  for (size_t i = 0; i < n; ++i) {
    float sum = 0;
    for (size_t c = 0; c < channels; ++c) {
      sum += all[i * channels + c];
    }
    all[i] = sum / (float)channels;
  }
  sf_close(file);
  return all;
}

static void
report_print(const RlEarReport *const r, const double rate)
{
  printf("%.3f %d %d %.3f %.4f %.2f %.4f %.1f %d %.3f %d %.2f %.4f", (double)r->frame / rate,
         r->chorus, r->bar, r->beat + 1, r->sure, r->tempo, r->mass, r->cents, r->key, r->key_sure,
         r->feel, r->held, r->likely);
  for (int i = 0; i < RL_FIGURES; ++i) {
    printf(" %.3f", (double)r->figure[i]);
  }
  putchar('\n');
}

int
main(const int count, char **const arguments)
{
  static RlForm form;
  SF_INFO       info = {0};
  float *const  sound =
    count > 2 && form_load(arguments[1], &form) ? sound_load(arguments[2], &info) : NULL;
  const int      key   = count > 3 ? atoi(arguments[3]) : -1;
  const uint32_t block = count > 4 ? (uint32_t)atoi(arguments[4]) : 512;
  const size_t   bytes = sound ? rl_ear_bytes(&form) : 0;
  void *const    room  = bytes ? malloc(bytes) : NULL;
  if (!room) {
    free(sound);
    return 1;
  }
  RlEar *const ear = rl_ear_init(room, &form, key, info.samplerate);
  for (uint64_t at = 0; at < (uint64_t)info.frames;) {
    const uint64_t left = (uint64_t)info.frames - at;
    RlEarReport    report;
    at += rl_ear_hear(ear, sound + at, left < block ? (uint32_t)left : block, &report);
    if (report.fresh) {
      report_print(&report, info.samplerate);
    }
  }
  free(room);
  free(sound);
  return 0;
}
