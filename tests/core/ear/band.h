/* SPDX-License-Identifier: ISC */
/* A band for the tests of the ear, made of sines and noise: bass on every beat, a chord on every
   other, a drum, for a chart. Deterministic. */
#ifndef RL_TESTS_CORE_EAR_BAND_H
#define RL_TESTS_CORE_EAR_BAND_H

#include "core/chart/form.h"

/** A performance. */
typedef struct {
  double rate;  /**< samples a second */
  double tempo; /**< felt beats a minute */
  double cents; /**< above 440 Hz */
  int    key;   /**< pitch class of the tonic */
  int    from;  /**< beat of the form that it begins with */
} RlBand;

/** Reads a chart that must be right. */
void rl_band_form(const char *chart, RlForm *form);

/** Fills `sound` with `frames` of the band playing a form of one meter, round and round. */
void rl_band_play(const RlBand *band, const RlForm *form, float *sound, size_t frames);

/** A number 0..1 that follows from `seed`, which moves on. */
float rl_band_random(uint32_t *seed);

#endif
