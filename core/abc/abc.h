/* SPDX-License-Identifier: ISC */
/* Phrases as text in ABC 2.1, the part of it that one voice needs; ABC.md says what is read and
   what is refused. Not for the audio thread: time grows with the text. No heap, no state; any other
   thread. */
#ifndef RL_CORE_ABC_ABC_H
#define RL_CORE_ABC_ABC_H

#include "core/phrase/phrase.h"

enum {
  RL_ABC_MAX         = 65536, /**< bytes of a tune's text; holds whatever rl_abc_write() writes */
  RL_ABC_BARS_MAX    = 128,   /**< the pickup included */
  RL_ABC_REASON_SIZE = 192    /**< bytes, the NUL included */
};

/** Why a tune could not be read. */
typedef struct {
  int  line;   /**< from 1 */
  int  column; /**< characters, from 1 */
  char reason[RL_ABC_REASON_SIZE];
} RlAbcError;

/** Reads one tune of at most RL_ABC_MAX bytes of UTF-8. On failure returns false, fills in `error`,
    and `phrase` means nothing. Not kept: the tune's number, comments, words beside a tempo,
    how notes were spelled, how a rhythm was noted. */
bool rl_abc_read(RlSlice text, RlPhrase *phrase, RlAbcError *error);

/** Appends the phrase as a tune that reads back as the same phrase, if it came from rl_abc_read()
   or has: notes of one voice in order of time; chords in order within it; a tempo in whole
   millionths; where `transpose` is no octave, names as rl_abc_read() gives them. A buffer of
   RL_ABC_MAX bytes holds any tune. */
void rl_abc_write(const RlPhrase *phrase, RlText *text);

/** The same into an empty text. Returns the tune in it from `X:` on, as it stands in books and
   plans: without the line with the version of ABC. */
RlSlice rl_abc_tune(const RlPhrase *phrase, RlText *text);

/** The value of the first field of a name (`T`) in the text of a tune, whether or not it can be
   read; empty if there is none. */
RlSlice rl_abc_field_value(RlSlice tune, char name);

/** Appends `line 3, column 7: …`. */
void rl_abc_error_write(const RlAbcError *error, RlText *text);

/** A tunebook being read tune by tune. */
typedef struct {
  RlSlice rest; /**< what is still to come */
  int     next; /**< the line that `rest` begins on, from 1 */
  int     line; /**< of the tune read last, its first */
} RlAbcBook;

/** A book at its beginning; its text may have any length. */
RlAbcBook rl_abc_book(RlSlice text);

/** The next tune: from a line `X:` to a blank line or the end. Free text between tunes is skipped.
    Fields at the head of the book, which would apply to all its tunes, are returned as a tune too,
    for rl_abc_read() to refuse. Empty when there is none left. */
RlSlice rl_abc_next(RlAbcBook *book);

#endif
