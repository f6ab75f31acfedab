/* SPDX-License-Identifier: ISC */
/* How likely each note of a phrase that was lifted from a record is right: a line of its fields,
   `N:sure .98 .91 1`, a number for each note in order, of notes at once the lowest first; 1 is what
   somebody has put right. Readers of ABC that know nothing of it pass over a note field. Plain
   data; no heap, no state; real-time safe, any thread. */
#ifndef RL_CORE_PHRASE_SURE_H
#define RL_CORE_PHRASE_SURE_H

#include "core/phrase/phrase.h"

#include <stdbool.h>

enum {
  RL_SURE_WHOLE   = 100, /**< hundredths: somebody says so */
  RL_SURE_PERHAPS = 50   /**< a note less sure than that is perhaps none */
};

/** Reads it in hundredths, one for each note. False if the phrase does not say, or says it of
    another number of notes: then nothing is known. */
bool rl_phrase_sure_read(const RlPhrase *phrase, uint8_t sure[RL_PHRASE_NOTES_MAX]);

/** Writes it in place of what was said before. NULL: it is not known any more. Where the fields
    have no room for all of it nothing is said. */
void rl_phrase_sure_write(RlPhrase *phrase, const uint8_t *sure);

#endif
