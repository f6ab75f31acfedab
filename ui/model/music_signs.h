/* SPDX-License-Identifier: ISC */
/* Flat and sharp signs in names of notes, keys, degrees and chords. Pure. */
#ifndef RL_UI_MODEL_MUSIC_SIGNS_H
#define RL_UI_MODEL_MUSIC_SIGNS_H

#include "core/text/text.h"

/** Appends an ASCII name with ♯ in place of # and ♭ in place of b. */
void rl_music_signs(const char *name, RlText *text);

#endif
