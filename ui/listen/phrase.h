/* SPDX-License-Identifier: ISC */
/* What was lifted, as text, MIDI or ABC. */
#ifndef RL_UI_LISTEN_PHRASE_H
#define RL_UI_LISTEN_PHRASE_H

#include "ui/clip/lifted.h"
#include "ui/listen/listen.h"

/** Writes each format to an open file; false if it cannot be written. */
bool rl_phrase_text(FILE *file, const RlLiftedPhrase *phrase);
bool rl_phrase_midi(FILE *file, const RlLiftedPhrase *phrase, const RlPhraseGrid *grid);
bool rl_phrase_abc(FILE *file, const RlLiftedPhrase *phrase, const RlPhraseGrid *grid,
                   const char *title);

/** Appends what is worth saying: how many notes, tempo, key, tuning; what ABC had no room for. */
void rl_phrase_say(const RlLiftedPhrase *phrase, const RlPhraseGrid *grid, RlText *text);

#endif
