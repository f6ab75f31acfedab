/* SPDX-License-Identifier: ISC */
/* A way to take a phrase, in words. */
#ifndef RL_UI_MODEL_WAY_WORDS_H
#define RL_UI_MODEL_WAY_WORDS_H

#include "core/arrange/ways.h"

/** Appends how it is taken: `an octave lower`, `on your A harp, 3rd position`; `tonic` is the
   song's key. */
void rl_way_words(const RlWay *way, int tonic, RlText *text);

/** Appends what it costs: `medium: 3 bends, 1 note changed`. */
void rl_way_cost_words(const RlWay *way, RlText *text);

#endif
