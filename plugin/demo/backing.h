/* SPDX-License-Identifier: ISC */
/* A plain backing track made from a chart: bass, guitar and brushes, for a newcomer to drop into a
 * DAW. */
#ifndef RL_PLUGIN_DEMO_BACKING_H
#define RL_PLUGIN_DEMO_BACKING_H

#include "core/chart/form.h"

/** Writes `choruses` of the form and its ending as a stereo WAV file (48 kHz, 16 bit) at the
   chart's tempo (felt beats a minute; 100 if it has none), bar 1 on the first sample, peaks below
   -6 dB. False and a line on stderr if the file cannot be written. */
bool rl_backing_write(const RlForm *form, int choruses, const char *path);

/** A track as it was written. */
typedef struct {
  float *sound; /**< left, right, left, …; free() it */
  size_t frames;
} RlTrack;

/** Reads it back. False and a line on stderr if it cannot be read. */
bool rl_backing_read(const char *path, RlTrack *track);

#endif
