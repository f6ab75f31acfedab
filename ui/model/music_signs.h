/* SPDX-License-Identifier: ISC */
/* Names with music signs. */
#ifndef RL_UI_MODEL_MUSIC_SIGNS_H
#define RL_UI_MODEL_MUSIC_SIGNS_H

#include "core/text/text.h"

/** Appends an ASCII name with music signs in the place of # and b. */
void rl_music_signs(const char *name, RlText *text);

#endif
