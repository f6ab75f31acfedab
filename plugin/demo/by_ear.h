/* SPDX-License-Identifier: ISC */
/* The backing track followed by ear: nobody tells the plugin where its bars are, and what it hears
   is held against the grid that the track was made on. */
#ifndef RL_PLUGIN_DEMO_BY_EAR_H
#define RL_PLUGIN_DEMO_BY_EAR_H

#include "core/chart/form.h"

#include <stdbool.h>

/** What to play, and who hears the lines. */
typedef struct {
  const char   *bundles, *track; /**< the folder of reedlamp.lv2; the WAV file */
  const char   *chart;           /**< its text, and the form it comes to */
  const RlForm *form;
  int           choruses;
  void         *data;
  void (*say)(void *data, const char *line);
} RlByEar;

/** Plays the track through a plugin with `clock` 2: a line for each bar heard. False if it cannot,
   if no bar was heard, or one elsewhere than the grid has it. A build without the ear says so. */
bool rl_by_ear_play(const RlByEar *by_ear);

#endif
